// Reclaimed gas: settle (a reclaimer's statement about a return), recycle.
#include <fmt/format.h>

#include <memory>

#include "session.hpp"
#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/units/ratio.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

struct ReclaimOptions {
    Text subject, gross, tare, refrigerant, oil, water, air, gas, purity, lab, outcome, credit, dated;
    Text machine, acid_test, moisture_test;
    std::optional<std::int64_t> drier_passes;
    bool oil_separated = false;
};

// 99.6, or 99.6%: a share of the mass.
Text purity_of(const Text& typed) {
    if (!typed) return typed;
    auto digits = *typed;
    if (digits.ends_with('%')) digits.pop_back();
    const auto share = Percent::parse(digits);
    if (!share || *share > Percent::whole(100))
        throw slip("purity", "cannot read which share of it is refrigerant", *typed, "percent by mass, such as 99.6");
    return digits;
}

// The event of a return. A statement often names the cylinder instead.
std::string return_named(const Book& book, const std::string& typed) {
    if (!book.entries().find(EntryKind::cylinder, typed)) return typed;
    const auto returns = returns_to_settle(book, typed);
    if (returns.size() == 1) return returns.front();
    if (returns.empty())
        throw slip("settle-which", "this cylinder was never returned", typed, "a cylinder that was",
                   "tarebook due shows which statements are awaited");
    throw slip("settle-which", "more than one statement about this cylinder is awaited", typed,
               "one of its returns: " + joined(returns), "tarebook due shows which statements are awaited");
}

int settle(const Session& s, const ReclaimOptions& o) {
    auto book = s.open(Access::write);
    kinds::Settle k;
    k.target = return_named(book, s.need(o.subject, "EVENT", "event of the return, for example E12, or its cylinder"));
    k.gross = s.weight(book, o.gross);
    k.tare = s.weight(book, o.tare);
    k.refrigerant = s.weight(book, o.refrigerant);
    k.oil = s.weight(book, o.oil);
    k.water = s.weight(book, o.water);
    k.air = s.weight(book, o.air);
    if (o.gas) k.gas = *o.gas == "mixed" ? *o.gas : std::string(s.refrigerant(*o.gas)->designation);
    k.purity = purity_of(o.purity);
    k.lab = o.lab;
    if (o.credit) k.credit_amount = must(parse_money(*o.credit));
    k.outcome = word_of(o.outcome, "--outcome", {"reclaimed", "destroyed", "rejected"});
    if (o.dated) k.dated = date_text(must(parse_date(*o.dated)));
    if (!k.stated() && !k.outcome)
        throw slip("flag-missing", "the statement says neither how much it was nor what became of it", {},
                   "--refrigerant W, or --gross W and --tare W, or --outcome reclaimed|destroyed|rejected");
    if (k.received() && k.received()->is_negative())
        throw slip("statement-weights", "the gross weight is less than the tare", *o.gross,
                   fmt::format("more than {}", *o.tare), "read the statement again");
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

int recycle(const Session& s, const ReclaimOptions& o) {
    auto book = s.open(Access::write);
    kinds::Recycle k;
    k.cylinder = s.need_cylinder_or(book, o.subject, "ID", "cylinder");
    k.machine = o.machine;
    k.oil_separated = o.oil_separated;
    k.drier_passes = o.drier_passes;
    k.acid_test = word_of(o.acid_test, "--acid-test", {"pass", "fail"});
    k.moisture_test = word_of(o.moisture_test, "--moisture-test", {"pass", "fail"});
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

}  // namespace

void setup_reclaim_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<ReclaimOptions>();
    auto command = [&](const char* name, const char* help, const char* word,
                       int (*run)(const Session&, const ReclaimOptions&)) {
        return recording_command(root, s, o, name, help, &ReclaimOptions::subject, "subject", word, run,
                                 Work::at_the_desk);
    };
    auto* c = command("settle", "a reclaimer's statement about a return", "event of the return, E12, or its cylinder",
                      settle);
    c->add_option("--gross", o->gross, "gross weight as it came in");
    c->add_option("--tare", o->tare, "tare of the cylinder, as stated");
    c->add_option("--refrigerant", o->refrigerant, "weight of the refrigerant alone");
    c->add_option("--oil", o->oil, "weight of the oil in it");
    c->add_option("--water", o->water, "weight of the water in it");
    c->add_option("--air", o->air, "weight of the air and other gas that does not condense");
    c->add_option("--gas", o->gas, "which refrigerant it was found to be, or mixed");
    c->add_option("--purity", o->purity, "percent by mass: 99.6");
    c->add_option("--lab", o->lab, "number of the analysis");
    c->add_option("--outcome", o->outcome, "reclaimed|destroyed|rejected");
    c->add_option("--credit", o->credit, "what the reclaimer credits: 41.50 USD");
    c->add_option("--dated", o->dated, "date on the statement: 2026-11-25");
    c = command("recycle", "used gas was cleaned for reuse: oil separation, driers, tests", "cylinder", recycle);
    c->add_flag("--oil-separated", o->oil_separated, "oil was separated");
    c->add_option("--drier-passes", o->drier_passes, "passes through filter-driers")->check(CLI::Range(0, 1000));
    c->add_option("--machine", o->machine, "recycling machine, as registered");
    c->add_option("--acid-test", o->acid_test, "pass|fail");
    c->add_option("--moisture-test", o->moisture_test, "pass|fail");
}

}  // namespace tarebook::cli
