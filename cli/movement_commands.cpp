// Movements of refrigerant: receive, recover, reuse, charge, transfer, return, destroy, exchange, release.
#include <fmt/format.h>

#include <charconv>
#include <iostream>
#include <memory>

#include "exit_code.hpp"
#include "session.hpp"
#include "tarebook/checks/needed_vacuum.hpp"
#include "tarebook/checks/ownership.hpp"
#include "tarebook/rules/purged.hpp"
#include "tarebook/units/fitted_text.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

struct MovementOptions {
    Text id, count, from, into, circuit, cylinder, to, before, after, net, gross, condition, lot, invoice, reason,
        vacuum, vacuum_exception, compressor, rise, drier, machine, gas, from_before, from_after, into_before,
        into_after, hose_loss, manifest, for_cylinder, with, deposit, serial, leak, ownership_exception, destroyed,
        mass, method, left, why, wc, tare, spec, refrigerant, first_id, place, price;
    std::optional<std::int64_t> held_min;
    bool emptied = false;
};

Condition condition_of(const Text& typed, Condition standard) {
    if (!typed) return standard;
    if (const auto c = condition_from(*typed)) return *c;
    throw slip("word-unknown", "that is not a condition", *typed, "virgin|reclaimed|recycled|recovered");
}

// Asked for where other things had to be asked for, and only where a rule may want it.
Text vacuum_reached(const Session& s, const MovementOptions& o, Reason reason) {
    if (o.vacuum || !s.has_terminal || !s.asked.holds_answers() || !asks_for_vacuum(reason)) return o.vacuum;
    return asked_pressure(s, "--vacuum", "vacuum that was reached, for example 10inHg (- leaves it open)");
}

bool bars_filling(const std::string& watch) {
    return watch.find("DO NOT FILL") != std::string::npos || watch.find("WRONG GAS") != std::string::npos;
}

// The weight to stop at is that of now: of an earlier time it would mislead.
std::string watched_before(const Session& s, const Book& book, const kinds::Recover& k) {
    auto watch = weights_to_watch(book, k.into, {CylinderTask::fill, k.circuit}, s.page_options(&book), s.scale);
    if (!s.at || bars_filling(watch)) return watch;
    return fmt::format("for an earlier time no stop weight is shown; that of now: tarebook room {}\n", k.into);
}

int recover(const Session& s, const MovementOptions& o) {
    auto book = s.open(Access::write);
    kinds::Recover k;
    k.circuit = s.need_circuit(book, o.circuit);
    k.into = s.need_cylinder(book, o.into, "--into", "cylinder that it goes into", {CylinderTask::fill, k.circuit});
    // Before the first weight is asked for, shows the weight to stop at.
    if (s.has_terminal && !o.net && (!o.before || !o.after))
        std::cerr << watched_before(s, book, k) << gas_caution(book, {k.circuit}, {k.into});
    k.weighing = s.weighing(book, o.before, o.after, o.net, k.into);
    k.reason = reason(o.reason, Reason::open);
    if (const auto vacuum = vacuum_reached(s, o, k.reason)) k.vacuum = vacuum_text(*vacuum);
    if (o.rise) k.rise = vacuum_text(*o.rise);
    if (o.vacuum_exception) k.vacuum_exception = must(parse_vacuum_exception(*o.vacuum_exception));
    k.drier = word_of(o.drier, "--drier", {"yes", "no"});
    k.gas = word_of(o.gas, "--gas", {"clean", "burnt-out", "acid"});
    k.compressor = word_of(o.compressor, "--compressor", {"runs", "does-not-run"});
    k.machine = o.machine;
    k.held_min = o.held_min;
    const auto site = site_of(k.circuit);
    const auto whole = s.with_person_and_job(book, k.circuit);
    return whole.record_and_tell(book, {whole.draft(book, std::move(k), site)});
}

// A recovery that takes hours: the readings at its start are kept beside the book until the scale is read at its end.
int recover_begin(const Session& s, const MovementOptions& o) {
    const auto book = s.open(Access::read);
    if (o.after || o.net)
        throw slip("begun-after", "the weight after belongs to the end of it", o.after ? *o.after : *o.net,
                   "recover begin --before W; at its end recover finish --after W");
    const auto circuit = s.need_circuit(book, o.circuit);
    const auto begun = s.moment(book, site_of(circuit));
    if (begun.at > s.now + std::chrono::minutes(15))
        throw Stop{{ErrorKind::refused, "future-time", "a recovery that was begun is in the past", moment_text(begun),
                    "a time that is over", "--at says when the scale showed the weight before"}};
    BegunEntry entry{begun.at, {}};
    const auto cylinder =
        s.need_cylinder(book, o.into, "--into", "cylinder that it goes into", {CylinderTask::fill, circuit});
    if (!book.entries().find(EntryKind::cylinder, cylinder))
        throw Stop{unknown_code(book, EntryKind::cylinder, cylinder)};
    if (!book.entries().find(EntryKind::circuit, circuit) && !book.entries().find(EntryKind::appliance, circuit))
        throw Stop{unknown_code(book, EntryKind::circuit, circuit)};
    if (const auto other = begun_entry(s.book_path(), begun_name(cylinder)))
        throw Stop{
            {ErrorKind::refused, "recovery-begun",
             fmt::format("a recovery into {} was begun at {} and is not finished", cylinder,
                         moment_text(must(moment_in_zone(other->begun, book.info().zone)))),
             cylinder, "a cylinder without one",
             fmt::format(
                 "tarebook recover finish {0} --after W; or, where nothing was recovered: tarebook recover drop {0}",
                 cylinder)}};
    if (const auto why = gas_that_would_mix(book, cylinder, {CylinderTask::fill, circuit}); !why.empty() && !s.anyway)
        throw Stop{
            {ErrorKind::refused, "begun-wrong-gas",
             fmt::format("{} {}: what is in it would become mixed gas", cylinder, why), cylinder,
             "a cylinder that is empty or holds the same gas",
             "stop, and take another: tarebook room --for W; mixed gas can only go to reclaim or destruction. If "
             "it did begin, say so with the reason: --anyway \"reason\""}};
    const auto weight = s.need_weight(book, o.before, "--before", "gross weight before, for example 31.20lb");
    const auto& before = weight.typed;
    if (weight.from_scale) entry.set("read", "--before");
    for (const auto& [flag, typed] : {std::pair<const char*, Text>{"--circuit", circuit},
                                      {"--into", cylinder},
                                      {"--before", before},
                                      {"--reason", o.reason},
                                      {"--job", s.job},
                                      {"--by", s.by},
                                      {"--scale", s.scale_of_event()},
                                      {"--machine", o.machine},
                                      {"--anyway", s.anyway},
                                      {"--note", s.note}})
        if (typed) entry.set(flag, *typed);
    keep_begun_entry(s.book_path(), begun_name(cylinder), entry);
    s.asked.done();
    const auto watch = weights_to_watch(book, cylinder, {CylinderTask::fill, circuit}, s.page_options(&book), s.scale);
    const auto width = s.page_options(&book).width;
    std::cout << fitted_text(
                     fmt::format("begun {}: {} into {}, {} before\n", moment_text(begun), circuit, cylinder, before),
                     width)
              << watch << fitted_text(gas_caution(book, {circuit}, {cylinder}, unbroken), width)
              << fitted_text(
                     fmt::format("not recorded yet; at its end: tarebook recover finish {} --after W\n", cylinder),
                     width);
    return bars_filling(watch) ? exit_exceptions : exit_done;
}

// The cylinder that is named, or the only one with a begun recovery.
std::string begun_cylinder(const Session& s, const MovementOptions& o) {
    if (o.id) return checked_code(EntryKind::cylinder, *o.id);
    std::vector<std::string> begun;
    for (const auto& name : begun_entries(s.book_path(), "begun-"))
        if (const auto entry = begun_entry(s.book_path(), name); entry && entry->at("--into"))
            begun.push_back(*entry->at("--into"));
    if (begun.size() == 1) return begun.front();
    throw slip("flag-missing", "ID is missing: which recovery", joined(begun),
               begun.empty() ? "one that was begun" : "one of these cylinders",
               begun.empty() ? "tarebook recover begin --circuit C --into ID --before W" : "");
}

[[noreturn]] void none_begun(const std::string& cylinder) {
    throw Stop{{ErrorKind::refused, "recovery-not-begun", fmt::format("no recovery into {} was begun", cylinder),
                cylinder, "a cylinder with one", "tarebook recover with --before and --after records one at once"}};
}

int recover_finish(const Session& s, const MovementOptions& o) {
    const auto cylinder = begun_cylinder(s, o);
    const auto entry = begun_entry(s.book_path(), begun_name(cylinder));
    if (!entry) none_begun(cylinder);
    auto words = o;
    auto line = s;  // what is typed now replaces what was typed at the start
    line.finishes = cylinder;
    const auto open = line.visit;
    line.leave_visit();  // what was typed at the start comes before it
    const auto take = [&](Text& text, const char* flag) {
        if (!text) text = entry->at(flag);
    };
    take(words.circuit, "--circuit");
    take(words.into, "--into");
    line.before_was_read = !words.before && entry->at("read") == "--before";
    take(words.before, "--before");
    take(words.reason, "--reason");
    take(words.machine, "--machine");
    take(line.job, "--job");
    take(line.by, "--by");
    take(line.scale, "--scale");
    take(line.anyway, "--anyway");
    if (open) line.take_visit();
    const auto moment = must(moment_in_zone(entry->begun, line.open(Access::read).info().zone));
    const auto begun = "begun " + moment_text(moment);
    const auto note = entry->at("--note");
    line.note = line.note ? *line.note + "; " + begun : note ? *note + "; " + begun : begun;
    const auto code = recover(line, words);
    drop_begun_entry(s.book_path(), begun_name(cylinder));
    return code;
}

int recover_drop(const Session& s, const MovementOptions& o) {
    const auto cylinder = begun_cylinder(s, o);
    if (!begun_entry(s.book_path(), begun_name(cylinder))) none_begun(cylinder);
    drop_begun_entry(s.book_path(), begun_name(cylinder));
    std::cout << fmt::format("dropped: what was begun into {}; the book had nothing of it\n", cylinder);
    return exit_done;
}

// Asks whether an addition is for the leak of an addition shortly before: then the two count as one.
Text leak_asked(const Session& s, const Book& book, const Event& draft) {
    if (!s.has_terminal) return {};
    const auto before = addition_not_long_before(book, draft);
    if (!before) return {};
    for (;;) {
        std::cerr << fmt::format("{} was added to {} on {}. If it is for one leak: its code, such as L-3; else Enter: ",
                                 mass_text(before->mass, s.page_options(&book).units), before->appliance,
                                 date_text(before->on));
        std::string answer;
        if (!std::getline(std::cin, answer) || answer.empty() || answer == "n" || answer == "no") return {};
        if (leak_number(answer)) return answer;
        std::cerr
            << "  tarebook leak add gives a leak its code, and `tarebook report appliance` lists those there are\n";
    }
}

template <class Kind>
int put(const Session& s, const MovementOptions& o) {
    auto book = s.open(Access::write);
    Kind k;
    k.circuit = s.need_circuit(book, o.circuit);
    constexpr auto task = std::is_same_v<Kind, kinds::Reuse> ? CylinderTask::reuse : CylinderTask::charge;
    k.from = s.need_cylinder(book, o.from, "--from", "cylinder that it comes from, or outside:NAME", {task, k.circuit});
    const bool outside = k.from.starts_with("outside:");
    if (outside && (!o.net || k.from.size() == 8))
        throw slip("outside-net", "gas that others put in is recorded by its stated weight", k.from,
                   "--from outside:NAME --net W");
    k.weighing = s.weighing(book, o.before, o.after, o.net, outside ? "" : k.from, ScaleShows::net_out);
    k.reason = reason(o.reason, std::is_same_v<Kind, kinds::Reuse> ? Reason::put_back : Reason::leak);
    k.invoice = o.invoice;
    k.emptied = o.emptied;
    k.leak = o.leak;
    if (o.ownership_exception) k.ownership_exception = must(parse_ownership_exception(*o.ownership_exception));
    if (o.destroyed) (void)must(parse_destroyed(*o.destroyed));
    k.destroyed = o.destroyed;
    const auto site = site_of(k.circuit);
    const auto whole = s.with_person_and_job(book, k.circuit);
    auto draft = whole.draft(book, std::move(k), site);
    if (auto leak = leak_asked(s, book, draft)) std::get<Kind>(draft.what).leak = std::move(leak);
    return whole.record_and_tell(book, {std::move(draft)});
}

int transfer(const Session& s, const MovementOptions& o) {
    auto book = s.open(Access::write);
    kinds::Transfer k;
    k.from = s.need_cylinder(book, o.from, "--from", "cylinder that it comes from", {CylinderTask::draw});
    k.into = s.need_cylinder(book, o.into, "--into", "cylinder that it goes into", {CylinderTask::fill, {}, k.from});
    k.hose_loss = word_of(o.hose_loss, "--hose-loss", {"atmosphere", "lost"});
    k.emptied = o.emptied;
    if (s.has_terminal && !o.net && !o.from_before && !o.from_after && !o.into_before && !o.into_after) {
        const CylinderQuestion task{CylinderTask::fill, {}, k.from};
        std::cerr << weights_to_watch(book, k.into, task, s.page_options(&book), s.scale)
                  << gas_caution(book, {}, {k.from, k.into});
        k.into_weighing.before =
            s.need_weight(book, {}, "--into-before", fmt::format("gross weight of {} before", k.into));
        k.into_weighing.after =
            s.need_weight(book, {}, "--into-after", fmt::format("gross weight of {} after", k.into));
        return s.record_and_tell(book, {s.draft(book, std::move(k))});
    }
    k.from_weighing = {s.shown_weight(book, o.from_before), s.shown_weight(book, o.from_after), {}};
    k.into_weighing = {s.shown_weight(book, o.into_before), s.shown_weight(book, o.into_after), {}};
    if (o.net) {
        if (o.from_before || o.into_before)
            throw slip("weighing-twice", "--net stands in place of a pair, not beside it", *o.net, "a pair, or --net");
        k.from_weighing.net = s.shown_weight(book, *o.net, ScaleShows::net_out);
    }
    if (!k.from_weighing.is_pair() && !k.into_weighing.is_pair() && !k.from_weighing.net)
        throw slip("transfer-weights", "a transfer needs both weights of one cylinder", {},
                   "--from-before and --from-after, or --into-before and --into-after, or --net");
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

// 6x25lb: how many jugs, and the net weight stamped on each.
std::pair<std::int64_t, Weight> jugs_of(const Session& s, const Book& book, const std::string& typed) {
    std::int64_t n = 0;
    const auto [end, error] = std::from_chars(typed.data(), typed.data() + typed.size(), n);
    if (error != std::errc() || end == typed.data() + typed.size() || *end != 'x' || n < 1 || n > 500)
        throw slip("jugs", "cannot read how many jugs of what weight", typed,
                   "1 to 500 jugs and the net weight of one, such as 6x25lb");
    return {n, s.weight(book, typed.substr(static_cast<std::size_t>(end - typed.data()) + 1))};
}

// Without a first ID: J, two digits of the book's id, a running number. It differs between trucks and is short enough
// to write.
std::vector<std::string> jug_ids(const Book& book, const Text& first, std::int64_t how_many) {
    std::string prefix = "J" + hex(book.info().id).substr(0, 2) + "-";
    for (char& c : prefix)
        if (c >= 'a' && c <= 'f') c = static_cast<char>(c - 'a' + 'A');
    std::int64_t next = 1;
    std::size_t width = 3;
    if (first) {
        const auto digits = first->find_last_not_of("0123456789") + 1;
        prefix = first->substr(0, digits);
        width = first->size() - digits;
        if (width == 0 || width > 9)
            throw slip("first-id", "an ID to count on from ends in digits", *first, "an ID such as J-101");
        std::from_chars(first->data() + digits, first->data() + first->size(), next);
    } else {
        for (const auto& code : book.codes(EntryKind::cylinder)) {
            std::int64_t n = 0;
            if (code.starts_with(prefix) &&
                std::from_chars(code.data() + prefix.size(), code.data() + code.size(), n).ec == std::errc())
                next = std::max(next, n + 1);
        }
    }
    std::vector<std::string> ids;
    for (std::int64_t i = 0; i < how_many; ++i)
        ids.push_back(checked_code(EntryKind::cylinder, fmt::format("{}{:0{}}", prefix, next + i, width)));
    return ids;
}

// The mark that a jug has unless --spec names another one. A gas without a liquid at 131 F, such as R-744, comes in
// cylinders of high pressure: 49 CFR 173.304a Table 1 takes a 39 for it beside eight that are refilled, and only its
// collar says which it is.
Text usual_mark(const Refrigerant& gas, const Book& book) {
    const bool high_pressure = gas.cylinder && gas.cylinder->no_liquid_at_55c;
    return law_of_the_us(book.info().country) && !high_pressure ? Text("DOT-39") : Text();
}

std::optional<Price> price_of(const Text& typed) {
    return typed ? std::optional(must(parse_price(*typed))) : std::nullopt;
}

// The IDs are chosen under the lock: of two programs that receive jugs at once, the second one counts on from the
// first.
int receive_jugs(const Session& s, Book& book, const MovementOptions& o, const std::string& refrigerant,
                 const std::string& from) {
    const auto* gas = s.refrigerant(refrigerant);
    const auto [n, net] = jugs_of(s, book, *o.count);
    kinds::Entry entry{EntryKind::cylinder, {}, true, {}};
    entry.values["use"] = {"supply", {}};
    entry.values["refrigerant"] = {std::string(gas->designation), {}};
    if (const auto spec = o.spec ? o.spec : usual_mark(*gas, book)) entry.values["spec"] = {*spec, {}};
    if (o.place) entry.values["place"] = {*o.place, {}};
    if (o.tare) {
        const auto tare = s.weight(book, *o.tare);
        entry.values["tare"] = {tare.typed, tare.mass};
    }
    kinds::Receive k;
    k.from = from;
    k.refrigerant = std::string(gas->designation);
    k.weighing.net = net;
    k.stamped = true;
    k.lot = o.lot;
    k.invoice = o.invoice;
    k.price = price_of(o.price);
    k.condition = condition_of(o.condition, Condition::virgin);
    const auto draft = s.draft(book, entry);
    return s.record_and_tell(book, [&, jugs = n]() -> Result<std::vector<Event>> {
        Text first = o.first_id;
        if (!first && s.own_id)  // given again: the same jugs, not new ones
            if (const auto stored = book.event_with_own_id(*s.own_id))
                if (const auto* said = std::get_if<kinds::Entry>(&stored->event.what)) first = said->code;
        std::vector<Event> drafts;
        for (const auto& id : jug_ids(book, first, jugs)) {
            entry.code = k.cylinder = id;
            drafts.push_back(s.like(draft, entry));
            drafts.push_back(s.like(draft, k));
        }
        return drafts;
    });
}

int receive(const Session& s, const MovementOptions& o) {
    auto book = s.open(Access::write);
    const auto what = s.need_cylinder_or(book, o.id, "ID", "cylinder, or a refrigerant and jugs: R-448A 6x25lb");
    const auto from = s.need(o.from, "--from", "supplier");
    if (o.count) return receive_jugs(s, book, o, what, from);
    kinds::Receive k;
    k.cylinder = what;
    k.from = from;
    if (o.refrigerant) k.refrigerant = std::string(s.refrigerant(*o.refrigerant)->designation);
    k.lot = o.lot;
    k.invoice = o.invoice;
    k.condition = condition_of(o.condition, Condition::virgin);
    if (o.before || o.after)
        k.weighing = s.weighing(book, o.before, o.after, o.net, what);
    else if (o.net)
        k.weighing.net = s.shown_weight(book, *o.net, ScaleShows::net_in);
    k.gross = s.shown_weight(book, o.gross);
    if (!k.gross && !k.weighing.net && !k.weighing.is_pair())
        throw slip("flag-missing", "a weight is missing", {}, "--gross W (on the scale now) or --net W (stamped)");
    k.price = price_of(o.price);
    const auto* entry = book.entries().find(EntryKind::cylinder, what);
    if (entry && k.gross && !k.weighing.net && !o.tare && !entry->mass("tare", {s.now, {}, 0}))
        throw slip("no-tare", "without a tare a gross weight does not say what came in", what, "--net W, as stamped",
                   fmt::format("or set its tare: tarebook cylinder correct {} --tare W", what));
    // Its tare and its place are events of their own, before it is filled by this one.
    std::vector<Event> drafts;
    if (o.tare) {
        const auto tare = s.weight(book, *o.tare);
        drafts.push_back(
            s.draft(book, kinds::Entry{EntryKind::cylinder, what, false, {{"tare", {tare.typed, tare.mass}}}}));
    }
    if (o.place) drafts.push_back(s.draft(book, kinds::Move{what, *o.place, {}}));
    drafts.push_back(s.draft(book, std::move(k)));
    return s.record_and_tell(book, std::move(drafts));
}

template <class Kind>
int send(const Session& s, const MovementOptions& o) {
    auto book = s.open(Access::write);
    Kind k;
    k.cylinder = s.need_cylinder(book, o.id, "ID", "cylinder", {CylinderTask::send});
    k.to = s.need(o.to, "--to", "who takes it");
    k.gross = s.shown_weight(book, o.gross);
    if (s.has_terminal && s.asked.holds_answers() && !o.gross && !o.before && !o.after)
        k.gross = s.need_weight(book, {}, "--gross", "what the scale shows as it goes");
    if (o.before || o.after) k.weighing = s.weighing(book, o.before, o.after, {}, k.cylinder);
    k.manifest = o.manifest;
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

int exchange(const Session& s, const MovementOptions& o) {
    auto book = s.open(Access::write);
    kinds::Exchange k;
    k.cylinder = s.need_cylinder(book, o.id, "ID", "cylinder that goes", {});
    k.for_cylinder =
        checked_code(EntryKind::cylinder, s.need(o.for_cylinder, "--for", "code for the cylinder that comes"));
    k.with = s.need(o.with, "--with", "who takes the old one");
    k.gross = s.shown_weight(book, o.gross);
    if (o.deposit) k.deposit_amount = must(parse_money(*o.deposit));
    kinds::Entry entry{EntryKind::cylinder, k.for_cylinder, true, {}};
    auto set = [&](const char* field, const Text& typed) {
        if (!typed) return;
        for (const auto& rule : field_rules(EntryKind::cylinder))
            if (rule.name == field) entry.values[field] = field_value(s, rule, *typed, ScaleReads::unknown);
    };
    set("serial", o.serial);
    set("wc", o.wc);
    set("tare", o.tare);
    set("spec", o.spec);
    const auto draft = s.draft(book, k);
    return s.record_and_tell(book, [&]() -> Result<std::vector<Event>> {
        const auto* old = book.entries().find(EntryKind::cylinder, k.cylinder);
        if (!old) return fail(unknown_code(book, EntryKind::cylinder, k.cylinder));
        // Copies what the next cylinder is for; what is stamped on it is its own.
        for (const char* field : {"use", "refrigerant", "belongs_to"})
            if (const auto* v = old->at(field, {s.now, {}, 0})) entry.values[field] = *v;
        return std::vector{s.like(draft, entry), draft};
    });
}

int release(const Session& s, const MovementOptions& o) {
    auto book = s.open(Access::write);
    if (!o.circuit == !o.cylinder)
        throw slip("release-where", "a release is from a circuit or from a cylinder", {},
                   "--circuit C, or --cylinder ID");
    kinds::Release k;
    if (o.circuit) k.circuit = s.need_circuit(book, o.circuit);
    k.cylinder = o.cylinder;
    if (o.before || o.after) {
        // Two weights give the mass; an estimate beside them would be a second mass.
        if (o.mass || !o.cylinder)
            throw slip("weighing-twice", "a pair stands in place of --mass, of a cylinder", o.mass.value_or(""),
                       "--cylinder, --before and --after; or --mass");
        k.weighing = s.weighing(book, o.before, o.after, {}, *o.cylinder);
    } else {
        k.mass = s.weight(book, s.need(o.mass, "--mass", "estimated mass, for example 2.5lb"));
    }
    k.method = s.need(o.method, "--method", "how the mass was estimated");
    k.why = s.reason(o.why, "--why", "why it was released");
    const auto site = k.circuit ? site_of(*k.circuit) : "";
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

int pumpdown(const Session& s, const MovementOptions& o) {
    auto book = s.open(Access::write);
    kinds::Pumpdown k;
    k.circuit = s.need_circuit(book, o.circuit, "CIRCUIT");
    k.to = o.to;
    if (o.left || !k.to) k.left = vacuum_text(s.need(o.left, "--left", "pressure it was left at, for example 5psig"));
    if (!k.to && (o.mass || o.method))
        throw slip("pumpdown-estimate", "inside its own appliance no mass moves in the book",
                   o.mass ? *o.mass : *o.method, "--mass and --method only with --to APPLIANCE");
    if (k.to) {
        k.mass = s.weight(book, s.need(o.mass, "--mass", "estimated mass, for example 12lb"));
        k.method = s.need(o.method, "--method", "how the mass was estimated");
    }
    const auto site = site_of(k.circuit);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

CLI::App* command(CLI::App& root, Session& s, const char* name, const char* help,
                  int (*run)(const Session&, const MovementOptions&), const std::shared_ptr<MovementOptions>& o) {
    auto* c = root.add_subcommand(name, help)->fallthrough();
    add_recording_options(*c, s);
    c->callback([&s, o, run, c] {
        if (c->get_subcommands().empty()) s.run = [&s, o, run] { return run(s, *o); };
    });
    return c;
}

void add_pair(CLI::App& c, MovementOptions& o) {
    c.add_option("--before", o.before, "gross weight before");
    c.add_option("--after", o.after, "gross weight after");
    c.add_option("--net", o.net, "net weight, where the scale was zeroed with the cylinder on it");
}

// recover begin, finish, drop: the options of recover may be before or behind these words.
// The options of a command, which its stages take, too.
std::string options_of(const CLI::App& command) {
    const auto shown = std::dynamic_pointer_cast<CLI::Formatter>(command.get_formatter());
    if (!shown) return {};
    auto out = "The options of tarebook " + command.get_name() + ":\n" +
               shown->make_groups(&command, CLI::AppFormatMode::Normal);
    for (const auto* group : command.get_subcommands([](const CLI::App* a) { return a->get_name().empty(); }))
        out += shown->make_groups(group, CLI::AppFormatMode::Normal);
    return out;
}

void add_stages(CLI::App& recovery, Session& s, const std::shared_ptr<MovementOptions>& o) {
    struct Stage {
        const char *name, *help;
        int (*run)(const Session&, const MovementOptions&);
        bool named;
    };
    for (const auto& stage : {Stage{"begin", "a long one: what the scale shows before", recover_begin, false},
                              Stage{"finish", "its end: what the scale shows after", recover_finish, true},
                              Stage{"drop", "nothing was recovered: forget what was begun", recover_drop, true}}) {
        auto* c = recovery.add_subcommand(stage.name, stage.help)->fallthrough();
        if (stage.named) c->add_option("id", o->id, "cylinder; the only one that is begun, where none is named");
        if (stage.run != recover_drop) c->footer([&recovery] { return options_of(recovery); });
        const auto run = stage.run;
        c->callback([&s, o, run] { s.run = [&s, o, run] { return run(s, *o); }; });
    }
}

}  // namespace

void setup_movement_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<MovementOptions>();
    auto* c = command(root, s, "receive", "a cylinder, or jugs (R-448A 6x25lb), from a supplier", receive, o);
    c->add_option("what", o->id, "cylinder ID, or a refrigerant");
    c->add_option("jugs", o->count, "6x25lb");
    c->add_option("--from", o->from, "supplier");
    c->add_option("--gross", o->gross, "what the scale shows now");
    add_pair(*c, *o);
    c->add_option("--condition", o->condition, "virgin|reclaimed");
    c->add_option("--refrigerant", o->refrigerant, "where it is not the registered one");
    c->add_option("--lot", o->lot, "lot number");
    c->add_option("--invoice", o->invoice, "invoice number");
    c->add_option("--price", o->price, "what was paid: 412.50 USD for the cylinder or each jug, or 8.20 USD/lb");
    c->add_option("--place", o->place, "place that it goes to: truck-2");
    c->add_option("--tare", o->tare, "tare, as stamped or measured; of each jug");
    c->add_option("--spec", o->spec, "specification mark of the jugs (DOT-39; none for R-744 and its like)");
    c->add_option("--first-id", o->first_id, "ID for the first jug; the others count on from it");

    c = command(root, s, "recover", "from a circuit into a cylinder", recover, o);
    c->add_option("--circuit", o->circuit, "SITE/APPLIANCE/CIRCUIT, or SITE/APPLIANCE");
    c->add_option("--into", o->into, "cylinder");
    add_pair(*c, *o);
    c->add_option("--reason", o->reason, "open|leak|conversion|overcharge|disposal|seasonal");
    c->add_option("--vacuum", o->vacuum, "what was reached: 10inHg, 500micron");
    c->add_option("--held", o->held_min, "minutes it was held")->check(CLI::Range(0, 100000));
    c->add_option("--rise", o->rise, "pressure after holding; what is less than --vacuum is by how much it rose");
    c->add_option(
        "--vacuum-exception", o->vacuum_exception,
        "which exception, and why the level was not reached, as leaking: WHY, non-major: WHY or oil-change: WHY");
    c->add_option("--compressor", o->compressor, "of a small appliance: runs|does-not-run");
    c->add_option("--drier", o->drier, "new filter-drier at the machine: yes|no");
    c->add_option("--machine", o->machine, "recovery machine");
    c->add_option("--gas", o->gas, "clean|burnt-out|acid");
    add_stages(*c, s, o);

    c = command(root, s, "reuse", "recovered gas into a circuit", put<kinds::Reuse>, o);
    for (int i = 0; i < 2; ++i) {
        if (i == 1) c = command(root, s, "charge", "from a supply cylinder into a circuit", put<kinds::Charge>, o);
        c->add_option("--circuit", o->circuit, "SITE/APPLIANCE/CIRCUIT, or SITE/APPLIANCE");
        c->add_option("--from", o->from, "cylinder, or outside:NAME for a charge made by others");
        add_pair(*c, *o);
        c->add_option("--reason", o->reason, "put-back|leak|initial|conversion|seasonal|open|purged");
        c->add_option("--leak", o->leak, "for which leak: L-3; additions for one leak count as one");
        c->add_option("--ownership-exception", o->ownership_exception,
                      "why used gas may change its owner: sister-company: WHY, federal: WHY or vehicle: WHY");
        c->add_option("--destroyed", o->destroyed,
                      "with --reason purged: percent of the purged gas that was destroyed, and how that is known: "
                      "98: HOW");
        c->add_option("--invoice", o->invoice, "invoice number");
        c->add_flag("--emptied", o->emptied, "the cylinder is empty now");
    }

    c = command(root, s, "transfer", "from one cylinder into another", transfer, o);
    c->add_option("--from", o->from, "cylinder");
    c->add_option("--into", o->into, "cylinder");
    c->add_option("--from-before", o->from_before, "gross weight");
    c->add_option("--from-after", o->from_after, "gross weight");
    c->add_option("--into-before", o->into_before, "gross weight");
    c->add_option("--into-after", o->into_after, "gross weight");
    c->add_option("--net", o->net, "net weight");
    c->add_option("--hose-loss", o->hose_loss, "where a difference of the two sides went: atmosphere|lost");
    c->add_flag("--emptied", o->emptied, "the first cylinder is empty now");

    c = command(root, s, "return", "a cylinder and what is in it to a reclaimer", send<kinds::Return>, o);
    for (int i = 0; i < 2; ++i) {
        if (i == 1)
            c = command(root, s, "destroy", "a cylinder and what is in it to a destruction facility",
                        send<kinds::Destroy>, o);
        c->add_option("id", o->id, "cylinder");
        c->add_option("--to", o->to, "who takes it");
        c->add_option("--gross", o->gross, "what the scale shows as it goes");
        c->add_option("--before", o->before, "gross weight before, where it was emptied there and stays ours");
        c->add_option("--after", o->after, "gross weight after");
        c->add_option("--manifest", o->manifest, "number of the shipping paper");
    }

    c = command(root, s, "exchange", "an old cylinder for another one", exchange, o);
    c->add_option("id", o->id, "cylinder that goes");
    c->add_option("--for", o->for_cylinder, "code for the cylinder that comes");
    c->add_option("--with", o->with, "who takes the old one");
    c->add_option("--gross", o->gross, "what the old one weighs as it goes");
    c->add_option("--deposit", o->deposit, "what was left for it: 60 USD");
    c->add_option("--serial", o->serial, "serial of the one that comes");
    c->add_option("--wc", o->wc, "its water capacity");
    c->add_option("--tare", o->tare, "its tare");
    c->add_option("--spec", o->spec, "its specification mark");

    c = command(root, s, "release", "what went to the air, estimated", release, o);
    c->add_option("--circuit", o->circuit, "SITE/APPLIANCE/CIRCUIT, or SITE/APPLIANCE");
    c->add_option("--cylinder", o->cylinder, "cylinder");
    c->add_option("--mass", o->mass, "estimated mass");
    c->add_option("--before", o->before, "gross weight of the cylinder before, where it was weighed");
    c->add_option("--after", o->after, "gross weight of the cylinder after");
    c->add_option("--method", o->method, "how it was estimated");
    c->add_option("--why", o->why, "why");

    c = command(root, s, "pumpdown", "a circuit pumped down, into its own appliance or into another", pumpdown, o);
    c->add_option("circuit", o->circuit, "SITE/APPLIANCE/CIRCUIT");
    c->add_option("--left", o->left, "pressure that it was left at: 5psig");
    c->add_option("--to", o->to, "another appliance that took it (SITE/APPLIANCE), with --mass and --method");
    c->add_option("--mass", o->mass, "estimated mass");
    c->add_option("--method", o->method, "how it was estimated");
}

}  // namespace tarebook::cli
