#include "shared_text.hpp"
#include "service_work.hpp"
#include "tarebook/checks/mixing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <set>

#include "tarebook/units/hours.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::report {

Date today_of(const Book& book, Instant now) {
    const auto moment = moment_in_zone(now, book.info().zone);
    return moment ? moment->date() : std::chrono::floor<std::chrono::days>(now);
}
std::string event_ref(const Book&, const StoredEvent& event) {
    return event.name;
}
std::string parts_text(const std::string& parts) {
    return parts == "all" ? "all visible and accessible parts" : parts;
}
std::string extension_text(const kinds::Extension& k) {
    static const std::map<std::string_view, std::string_view> grounds = {
        {"process-shutdown", "an industrial process has to shut down"},
        {"reported-shutdown", "an industrial process of a facility that reports its gases has to shut down"},
        {"parts", "parts cannot be obtained"},
        {"technician", "no certified technician is available"},
        {"other-law", "another law makes it impossible in that time"},
        {"radiological", "it is in an area with radioactive contamination, or its shutdown would cause some"},
        {"no-replacement", "no suitable replacement is available"},
        {"custom-built", "its replacement is built to order"}};
    std::string out;
    if (k.ground == "relief") {
        out = "relief from its plan: its leaks are repaired instead";
    } else {
        const auto known = grounds.find(k.ground);
        out = fmt::format("more time for {}, as {}", k.of == "repair" ? "the repair" : "the work of its plan",
                          known == grounds.end() ? std::string_view(k.ground) : known->second);
    }
    if (k.until) out += ", until " + *k.until;
    if (k.asked) out += "; asked on " + *k.asked;
    return out;
}

namespace {

std::string either(const std::optional<std::string>& a, const std::optional<std::string>& b) {
    return a ? *a : b.value_or("");
}

namespace acts {

using namespace kinds;

struct Act {
    std::string operator()(const Start& k) const { return "start " + k.company; }
    std::string operator()(const kinds::Entry& k) const {
        return fmt::format("{} {} {}", k.adds ? "add" : "correct", tarebook::text_of(k.entry), k.code);
    }
    std::string operator()(const Opening& k) const { return "counted " + k.cylinder; }
    std::string operator()(const Receive& k) const { return fmt::format("receive {} <- {}", k.cylinder, k.from); }
    std::string operator()(const Recover& k) const { return fmt::format("recover {} -> {}", k.circuit, k.into); }
    std::string operator()(const Charge& k) const { return fmt::format("charge {} <- {}", k.circuit, k.from); }
    std::string operator()(const Reuse& k) const { return fmt::format("reuse {} <- {}", k.circuit, k.from); }
    std::string operator()(const Transfer& k) const { return fmt::format("transfer {} -> {}", k.from, k.into); }
    std::string operator()(const Return& k) const { return fmt::format("return {} -> {}", k.cylinder, k.to); }
    std::string operator()(const Destroy& k) const { return fmt::format("destroy {} -> {}", k.cylinder, k.to); }
    std::string operator()(const Exchange& k) const {
        return fmt::format("exchange {} for {} with {}", k.cylinder, k.for_cylinder, k.with);
    }
    std::string operator()(const Release& k) const { return "release " + either(k.circuit, k.cylinder); }
    std::string operator()(const Pumpdown& k) const {
        return k.to ? fmt::format("pumpdown {} -> {}", k.circuit, *k.to) : "pumpdown " + k.circuit;
    }
    std::string operator()(const Weigh& k) const { return "weigh " + k.cylinder; }
    std::string operator()(const Evacuate& k) const { return "evacuate " + either(k.circuit, k.cylinder); }
    std::string operator()(const Requalify& k) const { return fmt::format("requalify {} {}", k.cylinder, k.tested); }
    std::string operator()(const Move& k) const { return fmt::format("move {} -> {}", k.cylinder, k.place); }
    std::string operator()(const Condemn& k) const { return "condemn " + k.cylinder; }
    std::string operator()(const Convert& k) const {
        return fmt::format("convert {} to {}", k.appliance, k.refrigerant);
    }
    std::string operator()(const Reclassify& k) const { return "reclassify " + k.cylinder; }
    std::string operator()(const Lost& k) const { return "lost " + k.cylinder; }
    std::string operator()(const Found& k) const { return "found " + k.cylinder; }
    std::string operator()(const kinds::AirCheck& k) const {
        return fmt::format("air-check {}: {} at {}", k.cylinder, k.pressure, k.temperature);
    }
    std::string operator()(const Leak& k) const { return fmt::format("leak {}: {}", k.appliance, k.place); }
    std::string operator()(const Isolate& k) const {
        if (k.reopened) return "reopened " + k.circuit;
        return fmt::format("isolated {}{}", k.circuit, k.points ? ": " + *k.points : "");
    }
    std::string operator()(const Fit& k) const {
        return fmt::format("fit {}: {}{}", k.circuit,
                           k.quantity.value_or(1) == 1 ? "" : fmt::format("{} x ", *k.quantity), k.part);
    }
    std::string operator()(const PressureTest& k) const { return act_text(k); }
    std::string operator()(const Oil& k) const { return act_text(k); }
    std::string operator()(const FilterDrier& k) const { return act_text(k); }
    std::string operator()(const Identify& k) const { return act_text(k); }
    std::string operator()(const Compressor& k) const { return act_text(k); }
    std::string operator()(const kinds::Note& k) const {
        std::vector<std::string> parts;
        for (const auto* part : {&k.text, &k.readings, &k.photo})
            if (*part) parts.push_back((part == &k.photo ? "photo " : "") + **part);
        if (k.minutes) parts.push_back(hours_text(*k.minutes));
        return fmt::format("note{}: {}", k.circuit ? " " + *k.circuit : "", joined(parts, "; "));
    }
    std::string operator()(const Inspect& k) const {
        return fmt::format("{} {}: {}", k.of ? "audit " + *k.of + " of" : "inspect", k.appliance, k.result);
    }
    std::string operator()(const Repair& k) const { return "repair " + k.leak; }
    std::string operator()(const LeakTest& k) const {
        return fmt::format("leak-test {}: {}, {}", k.leak, k.stage, k.result);
    }
    std::string operator()(const Seal& k) const { return "seal " + k.year; }
    std::string operator()(const Trust& k) const { return "trust " + k.called; }
    std::string operator()(const Withdraw& k) const { return "withdraw trust from book " + k.book.substr(0, 12); }
    std::string operator()(const Merge&) const { return "merge"; }
    std::string operator()(const Typist& k) const {
        return (k.person ? short_person(*k.person) : std::string("no one named")) + " types from here on" +
               (k.device ? ", on " + *k.device : "");
    }
    std::string operator()(const RemoveName& k) const {
        std::vector<std::string> people;
        for (const auto code : split(k.people, ' ')) people.push_back(short_person(code));
        return "remove the name of " + joined(people);
    }
    std::string operator()(const Plan& k) const { return fmt::format("plan {}: {}", k.appliance, k.plan); }
    std::string operator()(const Mothball& k) const {
        return fmt::format("mothball {}{}", k.appliance, k.ended ? ": ended" : "");
    }
    std::string operator()(const Extension& k) const {
        return fmt::format("extension {}: {} for {}", k.appliance, k.of, k.ground);
    }
    std::string operator()(const Settle& k) const {
        std::string out = "settle " + k.cylinder;
        if (const auto stated = k.refrigerant ? k.refrigerant->typed : std::string(); !stated.empty())
            out += ": " + stated;
        return k.outcome ? fmt::format("{}{}{}", out, k.refrigerant ? " " : ": ", *k.outcome) : out;
    }
    std::string operator()(const Recycle& k) const { return "recycle " + k.cylinder; }
    std::string operator()(const StocktakeBegin& k) const {
        return fmt::format("count begin {}{}", k.place, k.blind ? ", blind" : "");
    }
    std::string operator()(const StocktakeWeigh& k) const { return "count weigh " + k.cylinder; }
    std::string operator()(const StocktakeMissing& k) const { return "count missing " + k.cylinder; }
    std::string operator()(const StocktakeUnknown& k) const { return "count: not in the book: " + k.code; }
    std::string operator()(const StocktakeReason& k) const { return fmt::format("count reason {}: {}", k.code, k.why); }
    std::string operator()(const StocktakeClose&) const { return "count close"; }
    std::string operator()(const Void& k) const { return "void " + k.target.substr(0, 12); }
    std::string operator()(const Resolve& k) const { return "resolve " + k.finding; }
    std::string operator()(const Unknown& k) const { return k.kind; }
};

}  // namespace acts

}  // namespace

Mass shown_step(DisplayUnits units) {
    return units == DisplayUnits::lb ? Mass::thousandths_of_a_pound(10) : Mass::from_count(10 * Mass::counts_per_gram);
}

std::string act_of(const Event& event) {
    return std::visit(acts::Act{}, event.what);
}

std::string typed_text(const Typing& typing) {
    return fmt::format("typed by {}{}", typing.name.value_or("no one named"),
                       typing.device.empty() ? "" : " on " + typing.device);
}

OrderKey order_at(Instant now) {
    OrderKey key{now, {}, std::numeric_limits<std::int64_t>::max()};
    key.book.fill(0xff);
    return key;
}

std::string mass_text_down(Mass mass, DisplayUnits units) {
    return mass_text(mass.rounded_down_to(shown_step(units)), units);
}
std::string mass_text_up(Mass mass, DisplayUnits units) {
    return mass_text(-((-mass).rounded_down_to(shown_step(units))), units);
}
std::string mass_or(const std::optional<Mass>& mass, DisplayUnits units, std::string_view otherwise) {
    return mass ? mass_text(*mass, units) : std::string(otherwise);
}

std::string_view told_owner(std::string_view refrigerant, std::string_view owner) {
    return refrigerant == gas_unknown && owner == shop_owner ? owner_unassigned : owner;
}
std::string owner_text(std::string_view refrigerant, std::string_view owner) {
    const auto told = told_owner(refrigerant, owner);
    return told == owner_unassigned ? "not on record" : std::string(told);
}

Content content_of(const CylinderState& state, const CylinderFacts& facts) {
    Content c;
    c.refrigerant = facts.refrigerant;
    std::optional<Condition> worst;
    for (const auto& lot : state.lots) {
        const auto& first = state.lots.front().key;
        if (&lot.key == &first) {
            c.refrigerant = first.refrigerant;
            c.owner = told_owner(first.refrigerant, first.owner);
        }
        if (lot.key.refrigerant != first.refrigerant) c.refrigerant = "mixed";
        if (lot.key.owner != first.owner) c.owner = "several";
        worst = worst ? std::max(*worst, lot.key.condition) : lot.key.condition;
    }
    if (state.mixed) c.refrigerant = "mixed";
    if (worst) c.condition = std::string(tarebook::text_of(*worst));
    return c;
}

namespace {
bool gas_told(const Content& content) {
    return content.refrigerant && !content.refrigerant->empty() && *content.refrigerant != gas_unknown;
}
}  // namespace

std::optional<std::string> owner_word(const Content& content) {
    if (!content.owner) return std::nullopt;
    return *content.owner == owner_unassigned ? "not on record" : content.owner;
}
std::string whose(const Content& content) {
    const auto owner = owner_word(content);
    if (!owner) return "empty";
    if (*owner == "not on record") return "owner not on record, " + or_dash(content.condition);
    const auto* const said = *owner == "several"    ? "several owners"
                             : *owner == shop_owner ? "the shop"
                                                    : owner->c_str();
    return fmt::format("of {}, {}", said, or_dash(content.condition));
}
bool contents_unknown(const CylinderState& state, const CylinderFacts& facts) {
    return state.gross && !facts.tare && state.lots.empty() && facts.use != "supply" && !state.gone;
}
std::string held(Mass net, const Content& content, const CylinderFacts& facts, DisplayUnits units) {
    if (net.is_negative())
        return fmt::format("{} {}", mass_text(-net, units), facts.tare ? "under its tare" : "below zero by the book");
    return fmt::format("{} of {}, {}", mass_text(net, units),
                       !gas_told(content)                  ? "unknown gas"
                       : *content.refrigerant == gas_mixed ? "mixed gas"
                                                           : *content.refrigerant,
                       whose(content));
}
std::string not_in_register(const CylinderNow& cylinder) {
    if (cylinder.in_register) return {};
    return cylinder.entry_voided_by.empty()
               ? "not in the register: no entry of it counts"
               : fmt::format("not in the register: its entry was voided by {}", cylinder.entry_voided_by);
}

std::vector<std::string> flags_of(const Catalogue& catalogue, const CylinderState& state) {
    std::vector<std::string> flags;
    if (state.gone) flags.emplace_back("gone");
    if (state.lost) flags.emplace_back("lost");
    if (state.condemned) flags.emplace_back("condemned");
    if (state.leaking) flags.emplace_back("leaking");
    if (state.mixed) flags.emplace_back("mixed");
    if (state.reclaim_only) flags.emplace_back("reclaim-only");
    if (!state.spoiled.empty()) flags.push_back(state.spoiled);
    if (shown_otherwise(catalogue, state)) flags.emplace_back("identified-otherwise");
    return flags;
}

std::string counted(std::int64_t number, std::string_view noun) {
    return fmt::format("{} {}{}", number, noun, number == 1 ? "" : "s");
}
std::string or_dash(const std::optional<std::string>& text) {
    return text && !text->empty() ? *text : "-";
}

std::string finding_id(const Book&, const Finding& finding, const StoredEvent& event) {
    return fmt::format("{}/{}/{}", finding.check, finding.subject, event.name);
}
Json head_json(const Head& head) {
    return facts({{"seq", head.seq}, {"digest", hex(head.digest)}});
}

std::string finding_text(const std::string& id, const Finding& finding) {
    std::string out = id + "\n" + wrapped(finding.text, 2);
    if (!finding.seen.empty()) out += wrapped("seen: " + finding.seen, 2);
    if (!finding.expected.empty()) out += wrapped("expected: " + finding.expected, 2);
    if (!finding.accepted.empty()) out += wrapped("recorded anyway: " + finding.accepted, 2);
    if (!finding.next.empty()) out += wrapped("next: " + finding.next, 2);
    return out;
}
const Columns<OpenFinding>& finding_columns() {
    const auto words = [](std::string Finding::*which) {
        return [which](const OpenFinding& f) { return f.finding.*which; };
    };
    static const Columns<OpenFinding> columns{
        {"finding", "", &OpenFinding::id},
        {"check", "", words(&Finding::check)},
        {"severity", "", [](const OpenFinding& f) { return text_of(f.finding.severity); }},
        {"subject", "", words(&Finding::subject)},
        {"text", "", words(&Finding::text)},
        {"seen", "", words(&Finding::seen)},
        {"expected", "", words(&Finding::expected)},
        {"next", "", words(&Finding::next)},
        {"accepted", "", words(&Finding::accepted)}};
    return columns;
}

const Columns<StoredEvent>& event_columns() {
    static const Columns<StoredEvent> columns{{"event", "event", &StoredEvent::name},
                                              {"at", "when", [](const StoredEvent& e) { return e.event.when; }}};
    return columns;
}
const Columns<StoredEvent>& act_columns() {
    static const auto columns = Columns<StoredEvent>(event_columns())
                                    .with({{"kind", "", [](const StoredEvent& e) { return e.event.kind(); }},
                                           {"act", "act", [](const StoredEvent& e) { return act_of(e.event); }}});
    return columns;
}

std::string with_blanks(std::string_view word) {
    std::string out(word);
    std::replace(out.begin(), out.end(), '-', ' ');
    return out;
}

std::multimap<std::int64_t, OpenFinding> findings_by_event(const Book& book) {
    std::multimap<std::int64_t, OpenFinding> out;
    for (auto& finding : book.open_findings()) out.emplace(finding.event_id, finding);
    return out;
}

Error place_empty(std::string_view place, const std::set<std::string>& places) {
    return {ErrorKind::refused,
            "place-empty",
            fmt::format("the book has no cylinder at {}", place),
            std::string(place),
            places.empty() ? "a place where a cylinder is" : joined(places),
            "tarebook move ID --to PLACE records where a cylinder is"};
}

Error unknown_job(std::string_view job) {
    return {ErrorKind::refused,
            "job-unknown",
            fmt::format("no event of the book names job {}", job),
            std::string(job),
            "a job that was given with --job",
            "`tarebook report site` shows what moved at a site"};
}

Result<void> entry_exists(const Book& book, EntryKind kind, std::string_view code) {
    if (book.entries().find(kind, code)) return {};
    const auto word = tarebook::text_of(kind);
    return fail({ErrorKind::refused, fmt::format("unknown-{}", word), fmt::format("the book has no {} {}", word, code),
                 std::string(code),
                 fmt::format("the code of {} {} on record", word.starts_with("a") ? "an" : "a", word),
                 did_you_mean(code, book.codes(kind), fmt::format("`tarebook {} list` shows them", word))});
}

std::vector<Flow> flows_of(const Book& book, const StoredEvent& event) {
    std::vector<Flow> out;
    if (event.voided_by) return out;
    for (const auto& posting : book.postings(event.id)) {
        if (posting.account.kind != AccountKind::circuit) continue;
        out.push_back({posting.account.code, event.id, std::string(event.event.kind()), event.event.job,
                       event.event.when.date(), posting.lot.refrigerant, posting.mass});
    }
    return out;
}

}  // namespace tarebook::report
