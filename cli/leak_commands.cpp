// Facts about an appliance's leaks: leak add, inspect, repair, leak-test, plan, mothball, extension.
#include <algorithm>
#include <memory>

#include "session.hpp"
#include "tarebook/rules/rule_terms.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

struct LeakOptions {
    Text subject, place, method, result, done, stage, kind, by_day;
    Text of, parts, pressure, ground, until, asked, to, to_charge, procedure, gas_goes, appliance_goes, signed_by;
    bool ended = false;
};

std::string needed_word(const Session& s, const Text& typed, const char* flag, const std::vector<std::string>& words) {
    return *word_of(s.need(typed, flag, joined(words, "|")), flag, words);
}
// The site of a leak: --at is read on its clock.
std::string site_of_leak(const Book& book, const std::string& code) {
    for (const auto& leak : book.leaks())
        if (leak.code == code) return site_of(leak.appliance);
    return {};
}

int leak_add(const Session& s, const LeakOptions& o) {
    auto book = s.open(Access::write);
    kinds::Leak k{s.need_appliance(book, o.subject), s.need(o.place, "--place", "where on it, in words")};
    const auto site = site_of(k.appliance);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

int inspect(const Session& s, const LeakOptions& o) {
    auto book = s.open(Access::write);
    kinds::Inspect k;
    k.appliance = s.need_appliance(book, o.subject);
    k.of = word_of(o.of, "--of", {"detection-system"});
    k.parts = o.parts;
    k.method = s.need(o.method, "--method", k.of ? "how it was audited and calibrated" : "how it was inspected");
    k.result = k.of ? needed_word(s, o.result, "--result", {"pass", "fail"})
                    : needed_word(s, o.result, "--result", {"no-leak", "leak"});
    const auto site = site_of(k.appliance);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

int repair(const Session& s, const LeakOptions& o) {
    auto book = s.open(Access::write);
    kinds::Repair k{s.need_leak(book, o.subject), s.need(o.done, "--done", "what was done")};
    const auto site = site_of_leak(book, k.leak);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

int leak_test(const Session& s, const LeakOptions& o) {
    auto book = s.open(Access::write);
    kinds::LeakTest k;
    k.leak = s.need_leak(book, o.subject);
    k.stage = needed_word(s, o.stage, "--stage", {"initial", "follow-up"});
    k.result = needed_word(s, o.result, "--result", {"pass", "fail"});
    const auto site = site_of_leak(book, k.leak);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

// --by is the day of the plan here; --technician names the person.
int plan(const Session& s, const LeakOptions& o) {
    auto book = s.open(Access::write);
    kinds::Plan k;
    k.appliance = s.need_appliance(book, o.subject);
    k.plan = needed_word(s, o.kind, "--kind", {"retrofit", "retire"});
    if (o.to) k.to = std::string(s.refrigerant(*o.to)->designation);
    k.to_charge = o.to_charge;
    k.procedure = o.procedure;
    k.gas_goes = o.gas_goes;
    k.appliance_goes = o.appliance_goes;
    k.signed_by = o.signed_by;
    k.by = date_text(must(parse_date(s.need(o.by_day, "--by", "day by which it has to be done, 2027-03-01"))));
    const auto site = site_of(k.appliance);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

int mothball(const Session& s, const LeakOptions& o) {
    auto book = s.open(Access::write);
    kinds::Mothball k;
    k.appliance = s.need_appliance(book, o.subject);
    k.ended = o.ended;
    if (o.pressure && o.ended)
        throw slip("mothball-ended", "the pressure is that of the beginning", *o.pressure, "--pressure, or --end");
    if (o.pressure) k.pressure = must(parse_pressure(*o.pressure)).typed;
    const auto site = site_of(k.appliance);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

std::vector<std::string> words_in(std::string_view all) {
    const auto words = split(all, '|');
    return {words.begin(), words.end()};
}
std::optional<std::string> day_of(const Text& typed) {
    if (!typed) return std::nullopt;
    return date_text(must(parse_date(*typed)));
}

int extension(const Session& s, const LeakOptions& o) {
    auto book = s.open(Access::write);
    kinds::Extension k;
    k.appliance = s.need_appliance(book, o.subject);
    k.of = word_of(o.of, "--of", {"repair", "plan-work"}).value_or("repair");
    k.ground = needed_word(s, o.ground, "--for", words_in(terms::extension_grounds));
    k.asked = day_of(o.asked);
    k.until = day_of(o.until);
    if (!k.until && !terms::names_its_day(k.ground))
        k.until = date_text(must(parse_date(s.need(o.until, "--until", "day until when, 2027-03-01"))));
    const auto site = site_of(k.appliance);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

CLI::App* command(CLI::App& above, Session& s, const char* name, const char* help, const char* subject,
                  int (*run)(const Session&, const LeakOptions&), const std::shared_ptr<LeakOptions>& o) {
    auto* c = above.add_subcommand(name, help)->fallthrough();
    c->add_option("subject", o->subject, subject);
    c->callback([&s, o, run] { s.run = [&s, o, run] { return run(s, *o); }; });
    return c;
}

}  // namespace

void setup_leak_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<LeakOptions>();
    auto* group = root.add_subcommand("leak", "leaks that were found: add")->require_subcommand(1)->fallthrough();
    auto* c =
        command(*group, s, "add", "a leak that was found; the answer is its code, L-3", "SITE/APPLIANCE", leak_add, o);
    c->add_option("--place", o->place, "where on it");
    add_recording_options(*c, s);
    c = command(root, s, "inspect", "an appliance was inspected for leaks", "SITE/APPLIANCE", inspect, o);
    c->add_option("--method", o->method, "how it was inspected");
    c->add_option("--result", o->result, "no-leak|leak; of a detection system: pass|fail");
    c->add_option("--of", o->of, "detection-system: its yearly audit and calibration, not the appliance itself");
    c->add_option("--parts", o->parts,
                  "what was inspected: all (visible and accessible parts), or which and why not all");
    add_recording_options(*c, s);
    c = command(root, s, "repair", "a leak was repaired", "leak: L-3", repair, o);
    c->add_option("--done", o->done, "what was done");
    add_recording_options(*c, s);
    c = command(root, s, "leak-test", "a verification test of a repair", "leak: L-3", leak_test, o);
    c->add_option("--stage", o->stage, "initial|follow-up");
    c->add_option("--result", o->result, "pass|fail");
    add_recording_options(*c, s);
    c = command(root, s, "plan", "to retrofit or to retire an appliance", "SITE/APPLIANCE", plan, o);
    c->add_option("--kind", o->kind, "retrofit|retire");
    c->add_option("--by", o->by_day, "day by which it has to be done: 2027-03-01");
    c->add_option("--to", o->to, "refrigerant that it gets, or that its replacement has: R-744");
    c->add_option("--to-charge", o->to_charge, "full charge of that refrigerant: 800lb");
    c->add_option("--procedure", o->procedure, "retrofit: what is done, step by step, or where that is written");
    c->add_option("--gas-goes", o->gas_goes, "where the refrigerant that comes out goes");
    c->add_option("--appliance-goes", o->appliance_goes, "retire: where the appliance goes");
    c->add_option("--signed", o->signed_by, "who signed the plan for the owner");
    add_recording_options(*c, s, "--technician");
    c = command(root, s, "mothball", "an appliance was evacuated and shut down for a time, or that ended",
                "SITE/APPLIANCE", mothball, o);
    c->add_option("--pressure", o->pressure, "what it was evacuated to: 0psig");
    c->add_flag("--end", o->ended, "it is in use again; gas that goes in ends it as well");
    add_recording_options(*c, s);
    c = command(root, s, "extension", "more time for a repair or for the work of a plan, or relief from a plan",
                "SITE/APPLIANCE", extension, o);
    c->add_option("--of", o->of, "repair|plan-work (repair)");
    c->add_option("--for", o->ground, "what for: " + std::string(terms::extension_grounds));
    c->add_option("--until", o->until, "last day of it; not needed where the rule gives one");
    c->add_option("--asked", o->asked, "day on which it was asked for");
    add_recording_options(*c, s);
}

}  // namespace tarebook::cli
