// The page right after a recording: first what the person needs before the next step of the work, then what was booked,
// then the findings.
#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>
#include <tuple>

#include "additions.hpp"
#include "air_check.hpp"
#include "book_names.hpp"
#include "cautions.hpp"
#include "clock_text.hpp"
#include "columns.hpp"
#include "expected.hpp"
#include "fill.hpp"
#include "layout.hpp"
#include "leak_log.hpp"
#include "leak_rates.hpp"
#include "money_field.hpp"
#include "no_longer_over.hpp"
#include "service_work.hpp"
#include "statements.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/checks/needed_vacuum.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/report/offers.hpp"
#include "tarebook/report/sealed_years.hpp"

namespace tarebook {
namespace report {
namespace {

using namespace kinds;

Date new_year_of(Date date) {
    return std::chrono::sys_days(std::chrono::year_month_day(date).year() / std::chrono::January / 1);
}

// The contents, with all that a tag says of them.
bool holds_otherwise(const CylinderState& a, const CylinderState& b) {
    const auto told = [](const CylinderState& s) {
        return std::tie(s.lots, s.gross, s.gone, s.lost, s.mixed, s.spoiled);
    };
    return told(a) != told(b);
}

// "reached 10inHg, held 5 min, rise 0.5inHg", or what of it is not on record.
template <class Kind>
std::string reached_text(const Kind& k) {
    if (!k.vacuum && !k.held_min) return "not on record";
    return (k.vacuum ? "reached " + *k.vacuum : std::string("reached: not on record")) +
           (k.held_min ? fmt::format(", held {} min", *k.held_min) : "; time held not on record") +
           (k.rise ? ", rise " + *k.rise : "");
}

// What is said of an event: the first lines, after which come its exceptions, and the rest.
struct Said {
    std::string head, rest;
    Said(std::string all) : head(std::move(all)) {}  // NOLINT(google-explicit-constructor)
    Said(std::string first, std::string others) : head(std::move(first)), rest(std::move(others)) {}
};
// Right after a recording a person reads the first lines at most; `tarebook report event` says it all.
enum class Length { short_answer, whole };

// The cautions that a visit has seen in full, and those that a page adds to them.
struct CautionsSeen {
    const std::vector<std::string>* before = nullptr;  // nullptr: of no visit, each caution is in full
    std::vector<std::string> now;
    [[nodiscard]] bool has(const std::string& caution) const {
        const auto in = [&](const std::vector<std::string>& list) {
            return std::find(list.begin(), list.end(), caution) != list.end();
        };
        return before && (in(*before) || in(now));
    }
};

struct Screen {
    const Book& book;
    const StoredEvent& stored;
    const Outcome& outcome;
    DisplayUnits units;
    Instant now;
    Length length;
    CautionsSeen* seen = nullptr;  // nullptr: each caution is in full

    [[nodiscard]] bool whole() const { return length == Length::whole; }
    [[nodiscard]] const Event& event() const { return stored.event; }
    [[nodiscard]] std::string m(Mass mass) const { return mass_text(mass, units); }
    [[nodiscard]] const Effect* effect(std::string_view cylinder) const {
        for (const auto& e : outcome.effects)
            if (e.cylinder == cylinder) return &e;
        return nullptr;
    }
    [[nodiscard]] CylinderFacts facts(std::string_view cylinder) const {
        const auto* facts = cylinder_facts(book.entries(), cylinder, order_at(Instant::max()));
        return facts ? *facts : CylinderFacts{};
    }

    // An event of another book may name a scale that this one does not know.
    [[nodiscard]] std::optional<std::string> scale() const {
        const auto& code = event().scale;
        return code && book.entries().find(EntryKind::scale, *code) ? code : std::nullopt;
    }
    // How hot the cylinder may get after this filling. Empty for one that must not be filled.
    [[nodiscard]] std::string heat(const std::string& cylinder) const {
        if (const auto question = room_question_for(book, cylinder, scale()))
            if (!fill_bars(*question, now).empty()) return {};
        const auto fill = fill_view_of(book, cylinder, units, scale());
        return fill ? liquid_full_text(*fill, units) + "\n" : std::string();
    }
    // Stop weight and room of a cylinder that was filled.
    [[nodiscard]] std::string filling(const std::string& cylinder) const {
        if (const auto question = room_question_for(book, cylinder, scale()))
            if (const auto bars = fill_bars(*question, now); !bars.empty()) {
                std::string out;
                for (const auto& bar : bars) out += wrapped(fmt::format("DO NOT FILL {}: {}", cylinder, bar.text), 0);
                return out;
            }
        const auto fill = fill_view_of(book, cylinder, units, scale());
        if (!fill)
            return fmt::format("STOP AT  not known for {}: `tarebook room {}` says what is missing\n", cylinder,
                               cylinder);
        const auto& w = fill->weights;
        std::string out =
            fmt::format("STOP AT {}   {}\n", watched_text(w.stop_gross, *fill, units),
                        w.room.is_negative() ? fmt::format("OVER by {}", mass_text_up(-w.room, units))
                                             : fmt::format("room left {}", watched_text(w.room, *fill, units)));
        return out;
    }
    // The cylinders whose contents, tare or limit the event may have changed.
    [[nodiscard]] std::vector<std::string> touched() const {
        std::vector<std::string> out;
        for (const auto& e : outcome.effects) out.push_back(e.cylinder);
        if (const auto* k = std::get_if<kinds::Entry>(&event().what); k && k->entry == EntryKind::cylinder)
            out.push_back(k->code);
        if (const auto* k = std::get_if<Void>(&event().what))
            if (const auto target = digest_from_hex(k->target) ? book.event_named(k->target) : std::nullopt)
                for (const auto& code : cylinders_of(target->event)) out.push_back(code);
        std::vector<std::string> once;
        for (auto& code : out)
            if (std::find(once.begin(), once.end(), code) == once.end()) once.push_back(std::move(code));
        return once;
    }
    // Before all else, for each kind of event: an overfilled cylinder bursts when it warms.
    [[nodiscard]] std::string over_the_limit() const {
        std::string out;
        PageOptions options;
        options.units = units;
        options.width = unbroken;
        for (const auto& cylinder : touched()) out += tarebook::over_the_limit(book, cylinder, options);
        return out;
    }
    [[nodiscard]] std::string now_line(const std::string& cylinder) const {
        const auto state = book.state(cylinder);
        const auto f = facts(cylinder);
        const Mass net = state.contents();
        if (contents_unknown(state, f))
            return fmt::format("{}: {}; gross {}\n", cylinder, contents_unknown_text, m(*state.gross));
        return fmt::format("{} {} {}{}\n", cylinder, net.is_negative() ? "is now" : "now holds",
                           held(net, content_of(state, f), f, units),
                           state.gross ? fmt::format("; gross {}", m(*state.gross)) : "");
    }

    Said operator()(const Recover& k) const {
        const auto* e = effect(k.into);
        const Mass moved = e ? e->moved : k.weighing.gained();
        std::string out;
        if (moved.is_zero())
            out = fmt::format("nothing recovered into {}: equal weights; the attempt is on record\n", k.into);
        else if (moved.is_negative())
            out = fmt::format("{} LEFT {}: by its weights the cylinder lost gas\n", m(-moved), k.into);
        else
            out = fmt::format("{} recovered into {}\n", m(moved), k.into);
        out += e && is_late(*e) ? filled_then(*e) : filling(k.into);
        // A tag is for the cylinder as it is now: once something else happened to it, that of a past event misleads.
        const bool outdated = whole() && e && is_late(*e);
        return {std::move(out), (e && is_late(*e) ? std::string() : heat(k.into)) +
                                    (whole() ? proof_of(k, moved) : std::string()) + disposal(k) +
                                    burnt_out_since_drier(book, stored) +
                                    (outdated ? since_then(k.into) : tag(k.into, k.circuit))};
    }
    // Vacuum, and the figures against what was expected.
    [[nodiscard]] std::string proof_of(const Recover& k, Mass moved) const {
        auto out = needed(k);
        out += "vacuum " + reached_text(k) + "\n";
        if (const auto compared = compare_recovery(book, event(), moved, units)) out += compared_text(*compared, units);
        return out;
    }
    // What is to be on record of an appliance that is disposed of, by its size.
    [[nodiscard]] std::string disposal(const Recover& k) const {
        const auto* appliance = book.entries().find(EntryKind::appliance, appliance_of(k.circuit));
        if (k.reason != Reason::disposal || !appliance) return {};
        const auto when = order_at(event().when.at);
        const auto need =
            needed_vacuum(book.reference_data(), book.entries(), k.circuit, k.machine, when, event().when.date());
        if (need && need->small_appliance)
            return wrapped(
                "disposal: a small appliance: the final disposer keeps a signed statement, or a "
                "contract, that its refrigerant was recovered (40 CFR 82.155, to confirm)",
                0);
        const auto subject = subject_at(book.catalogue(), *appliance, when);
        const auto rule = first_matching<terms::DisposalRecord>(
            packs_of_place(book.rules(), book.entries(), k.circuit, when), subject, event().when.date());
        if (!need || !rule || !subject.full_charge) return {};
        const auto& size = rule->as<terms::DisposalRecord>();
        if (*subject.full_charge <= size.over || size.below <= *subject.full_charge) return {};
        return wrapped(fmt::format("disposal: over {} and under {}: company, place, day, gas and mass go on the log of "
                                   "the month ({}, {}): tarebook export year",
                                   m(size.over), m(size.below), rule->rule->clause, tarebook::text_of(rule->status())),
                       0);
    }
    // Asked for before opening, disposal and conversion alone.
    [[nodiscard]] std::string needed(const Recover& k) const {
        if (!asks_for_vacuum(k.reason)) return "";
        const auto& when = stored.event.when;
        const auto need =
            needed_vacuum(book.reference_data(), book.entries(), k.circuit, k.machine, order_at(when.at), when.date());
        if (!need) {
            const auto exempt =
                exempt_from_recovery(book.reference_data(), book.entries(), k.circuit, order_at(when.at), when.date());
            if (!exempt) return "";
            return wrapped(fmt::format("vacuum: none asked for, the gas is exempt here ({}: {})", exempt->rule->clause,
                                       exempt->rule->note),
                           0);
        }
        return wrapped(
            fmt::format("vacuum: needed {} ({}){}", needed_vacuum_brief(*need, k.compressor, units),
                        need->match.rule->clause, k.vacuum_exception ? "; exception: " + *k.vacuum_exception : ""),
            0);
    }
    // A late entry is one that other events of the cylinder follow: what it left there is not what is there now.
    [[nodiscard]] bool is_late(const Effect& e) const { return holds_otherwise(e.after, book.state(e.cylinder)); }
    [[nodiscard]] std::string since_then(const std::string& cylinder) const {
        auto line = now_line(cylinder);
        line.pop_back();  // its line end
        return wrapped("since then: " + line, 0);
    }
    // Stop weight and room are those of now: beside what was in the cylinder then, they would be read as of then.
    [[nodiscard]] std::string filled_then(const Effect& e) const {
        auto out = wrapped(fmt::format("on {} {} held {}{}; STOP AT and room of now: tarebook room {}",
                                       moment_text(event().when), e.cylinder, m(e.after.contents()),
                                       e.after.gross ? fmt::format(", gross {}", m(*e.after.gross)) : "", e.cylinder),
                           0);
        if (const auto question = room_question_for(book, e.cylinder, scale()))
            for (const auto& bar : fill_bars(*question, now))
                out += wrapped(fmt::format("DO NOT FILL {}: {}", e.cylinder, bar.text), 0);
        return out;
    }
    // A late entry changes what the book expects at the next weighing; the exception that stands there is told here.
    [[nodiscard]] std::string next_gap() const {
        std::string out;
        for (const auto& e : outcome.effects) {
            if (!is_late(e)) continue;
            const OpenFinding* next = nullptr;
            std::optional<OrderKey> when;
            const auto open = book.open_findings_on(e.cylinder);
            for (const auto& one : open) {
                if (one.finding.check != "gap" || one.finding.subject != e.cylinder) continue;
                const auto other = book.event(one.event_id);
                if (!other || !(event().order() < other->event.order())) continue;
                if (!when || other->event.order() < *when) {
                    when = other->event.order();
                    next = &one;
                }
            }
            if (!next) continue;
            out += wrapped(fmt::format("the book's next weight of {} does not meet this entry:", e.cylinder), 0) +
                   "EXCEPTION " + finding_text(next->id, next->finding);
        }
        return out;
    }
    // The caution of an act: in full once a visit, where no gas burns or is toxic and nothing is out of order.
    [[nodiscard]] std::string caution_of_act(std::string whole_caution, std::string_view brief) const {
        if (!seen || !seen->before) return whole_caution;
        const auto caution = fmt::format("{} {}", event().kind(), gas_at_work());
        if (seen->has(caution) && is_as_usual()) return wrapped(fmt::format("caution, as before: {}", brief), 0);
        if (!seen->has(caution)) seen->now.push_back(caution);
        return whole_caution;
    }
    // Of the equipment, else in the first cylinder; empty where not on record.
    [[nodiscard]] std::string gas_at_work() const {
        for (const auto& code : equipment())
            if (const auto place = place_facts(book.entries(), code, event().order())) return place->refrigerant;
        for (const auto& code : cylinders_of(event()))
            return content_of(book.state(code), facts(code)).refrigerant.value_or("");
        return {};
    }
    [[nodiscard]] bool is_as_usual() const {
        const auto cylinders = cylinders_of(event());
        const bool unfit = std::any_of(cylinders.begin(), cylinders.end(), [&](const std::string& code) {
            const auto s = book.state(code);
            return s.mixed || s.leaking || s.condemned || !s.spoiled.empty();
        });
        const bool exception = std::any_of(outcome.findings.begin(), outcome.findings.end(),
                                           [](const Finding& f) { return f.severity != Severity::note; });
        return !unfit && !exception && !gas_at_work().empty() && gas_caution(book, equipment(), cylinders).empty() &&
               over_the_limit().empty();
    }
    // The circuit or the appliance that was worked on.
    [[nodiscard]] std::vector<std::string> equipment() const {
        if (auto circuit = circuit_named_by(event()); !circuit.empty()) return {std::move(circuit)};
        if (const auto appliance = appliance_named_by(event()); !appliance.empty()) return {std::string(appliance)};
        return {};
    }
    // What goes on the cylinder's tag: gas, condition, owner, where from, weights, date, who, test due. The contents
    // are those of that date.
    [[nodiscard]] std::string tag(const std::string& cylinder, const std::string& circuit) const {
        const auto* e = effect(cylinder);
        const auto state = e ? e->after : book.state(cylinder);
        const bool late = e && is_late(*e);
        auto f = facts(cylinder);
        if (late)
            if (const auto* then = cylinder_facts(book.entries(), cylinder, event().order())) f.tare = then->tare;
        const auto content = content_of(state, f);
        const auto due = test_due(book.rules(), f);
        const auto gas = content.refrigerant && *content.refrigerant == "mixed"
                             ? "MIXED"
                             : content.refrigerant.value_or("gas not on record");
        std::vector<std::string> known{gas};
        if (content.condition) known.push_back(*content.condition);
        if (const auto owner = owner_word(content))
            known.push_back(*owner == "not on record" ? "owner not on record" : "of " + *owner);
        known.push_back("from " + circuit);
        known.push_back(m(state.contents()) + " net");
        if (state.gross) known.push_back(m(*state.gross) + " gross");
        if (f.tare) known.push_back("tare " + m(*f.tare));
        known.push_back(date_text(event().when.date()));
        std::string text = joined(known);
        if (event().by) text += ", by " + *event().by;
        if (!state.spoiled.empty()) text += ", " + state.spoiled;
        text += due ? ", test due " + month_text(*due) : ", test due: read the collar";
        return "tag:\n" + wrapped(cylinder + ": " + text, 2) + (late ? since_then(cylinder) : "");
    }

    [[nodiscard]] Said put(const Put& k, std::string_view done) const {
        const auto* e = effect(k.from);
        const Mass moved = e ? -e->moved : k.weighing.gained();
        std::string out =
            moved.is_negative()
                ? fmt::format("{} CAME BACK from {}: by its weights the cylinder gained gas\n", m(-moved), k.circuit)
                : fmt::format("{} {} {}\n", m(moved), done, k.circuit);
        const auto appliance = appliance_of(k.circuit);
        const Date day = event().when.date();
        if (e) {
            const bool late = is_late(*e);
            out +=
                fmt::format("left in {}{}: {}{}\n", k.from, late ? " on " + date_text(day) : "", m(e->after.contents()),
                            e->after.gross ? fmt::format("; gross {}", m(*e->after.gross)) : "");
            if (late) out += since_then(k.from);
        } else {
            out += fmt::format("stated by {}, not weighed here\n", k.from.substr(k.from.find(':') + 1));
        }
        return {std::move(out), appliance_since(k, appliance)};
    }
    // What the appliance got in the job and in the year, and its leak rate.
    [[nodiscard]] std::string appliance_since(const Put& k, const std::string& appliance) const {
        std::string out;
        const Date day = event().when.date();
        if (whole() && event().job) {
            Sums job;
            for (const auto& other : book.events_of_job(*event().job))
                for (const auto& flow : flows_of(book, other))
                    if (appliance_of(flow.circuit) == appliance) job.take(flow);
            out += fmt::format("job {} on {}: put in {}, taken out {}, net {}\n", *event().job, appliance,
                               m(job.put_in()), m(job.taken_out()), m(job.net()));
        }
        const auto flows = book.flows_of_whole_jobs(appliance, day - recent, day);
        const auto record = recent_leak_record(book, appliance, flows, day);
        if (whole()) out += additions_of_year(k, appliance, record, day);
        if (k.ownership_exception)
            out += wrapped(fmt::format("used gas of another owner, by exception: {}{}", *k.ownership_exception,
                                       reuse_clause(k.circuit, terms::ReuseCondition::Owner::other)),
                           0);
        return out + in_the_place_of_purged(k, record) + rate(record);
    }
    [[nodiscard]] std::string additions_of_year(const Put& k, const std::string& appliance, const LeakRecord& record,
                                                Date day) const {
        MassTotal this_year;
        for (const auto& addition : record.additions)
            if (addition.on >= new_year_of(day) && addition.on <= day) this_year += addition.mass;
        const auto place = place_facts(book.entries(), k.circuit, event().order());
        auto out = fmt::format("additions in {} to {}: {}", static_cast<int>(std::chrono::year_month_day(day).year()),
                               appliance, m(this_year.value()));
        out += place && place->full_charge ? fmt::format(", full charge {}\n", m(*place->full_charge)) : "\n";
        return out;
    }
    // What takes the place of purged gas is no addition, where a rule says so and enough of that was destroyed.
    [[nodiscard]] std::string in_the_place_of_purged(const Put& k, const LeakRecord& record) const {
        if (!k.destroyed) return {};
        const auto reference = event_ref(book, stored);
        for (const auto& a : record.rated) {
            const auto& sources = a.addition.sources;
            if (std::find(sources.begin(), sources.end(), reference) == sources.end()) continue;
            if (a.purged)
                return wrapped(fmt::format("in the place of purged gas ({}): no addition ({}, {})", *k.destroyed,
                                           a.purged->rule->clause, tarebook::text_of(a.purged->status())),
                               0);
        }
        return wrapped(
            fmt::format(
                "in the place of purged gas ({}): an addition nevertheless, as no rule of the packs leaves it out",
                *k.destroyed),
            0);
    }
    // Of the rule about used gas in equipment of its owner, or of another one, where a pack of that place has one.
    [[nodiscard]] std::string reuse_clause(const std::string& circuit, terms::ReuseCondition::Owner owner) const {
        const auto place = place_facts(book.entries(), circuit, event().order());
        const RuleSubject subject{place ? book.catalogue().find(place->refrigerant) : nullptr, {}, {}};
        const auto* site = book.entries().find(EntryKind::site, site_of(circuit));
        const auto packs = packs_of_site(book.rules(), site, event().order()).packs;
        for (const auto& m : matching<terms::ReuseCondition>(packs, subject, event().when.date()))
            if (m.as<terms::ReuseCondition>().owner == owner)
                return fmt::format(" ({}, {})", m.rule->clause, tarebook::text_of(m.status()));
        return {};
    }
    // Of the addition that this event is part of, where a rule speaks to the appliance; it never refuses a recording.
    [[nodiscard]] std::string rate(const LeakRecord& record) const {
        const auto reference = event_ref(book, stored);
        for (const auto& a : record.rated) {
            const auto& sources = a.addition.sources;
            if (std::find(sources.begin(), sources.end(), reference) == sources.end()) continue;
            if (!a.rate || !a.regime || (!whole() && !a.exceeded)) return soon_note(record, a);
            std::optional<Percent> limit;
            if (a.threshold) limit = a.threshold->as<terms::LeakRateThreshold>().threshold;
            auto out = wrapped("leak rate: " + formula_text(*a.rate, limit, units), 0);
            out += wrapped(verdict_text(a), 2);
            return out + repair_times(record, a) + soon_note(record, a);
        }
        return {};
    }
    // As `due` has it: a repair that ran already keeps its day, however much is added.
    [[nodiscard]] std::string repair_times(const LeakRecord& record, const RatedAddition& a) const {
        std::string out;
        if (!a.exceeded) return out;
        const Date today = today_of(book, now);
        const auto whole = leak_record(book, record.appliance, last_day_of_all);
        const auto clocks = RepairTimes(ApplianceClocks(book, whole, today)).of_addition(a.addition.on);
        for (const auto& clock : clocks)
            out += wrapped(
                repair_text(clock, "", a.addition.sources, today) +
                    (&clock == &clocks.back() ? "; details: tarebook report appliance " + record.appliance : ""),
                2);
        return out;
    }
    [[nodiscard]] std::string soon_note(const LeakRecord& record, const RatedAddition& a) const {
        const auto* before = addition_soon_before(record, a);
        if (!before) return {};
        return wrapped(fmt::format("note: {} was {} days before; two for one leak count as one where both name it: "
                                   "tarebook leak add, then --leak L-3",
                                   before->event, (a.addition.on - before->addition.on).count()),
                       0);
    }
    Said operator()(const Charge& k) const {
        auto said = put(k, "charged into");
        said.rest += service_with_reclaimed(k);
        return said;
    }
    Said operator()(const Reuse& k) const { return put(k, "reused in"); }

    std::string operator()(const Weigh& k) const {
        std::string out;
        if (k.leaking)
            out += fmt::format("{} LEAKS: do not fill, do not transport; outdoors, away from drains\n", k.cylinder);
        Mass expected = k.gross.mass;
        Mass tolerance = level_tolerance(k.gross.mass, facts(k.cylinder));
        for (const auto& gap : outcome.gaps) {
            if (gap.cylinder != k.cylinder) continue;
            expected = gap.expected_gross;
            tolerance = gap.tolerance;
        }
        const Mass difference = k.gross.mass - expected;
        out += fmt::format("scale       {}\nbook        {}\ndifference  {}{}\ntolerance   {}\n", m(k.gross.mass),
                           m(expected), m(difference), difference.magnitude() > tolerance ? "  OUTSIDE" : "",
                           m(tolerance));
        out += now_line(k.cylinder);
        return out + last_three(k.cylinder);
    }
    std::string operator()(const StocktakeWeigh& k) const { return (*this)(Weigh{k.cylinder, k.gross}); }
    std::string operator()(const StocktakeMissing& k) const {
        return fmt::format("{} was looked for and is not there; it stays in the book until it is recorded as lost\n",
                           k.cylinder);
    }
    std::string operator()(const StocktakeUnknown& k) const {
        return wrapped(fmt::format("{} is there and has no entry: read its collar, then tarebook cylinder add", k.code),
                       0);
    }
    [[nodiscard]] std::string last_three(const std::string& cylinder) const {
        Table table;
        table.column("event").column("when").column("act").column("change", Side::right).column("gross", Side::right);
        for (const auto& step : book.steps_before(cylinder, event().order(), 3))
            if (const auto other = book.event(step.event_id))
                table.typed_row({event_ref(book, *other), moment_text(other->event.when), act_of(other->event),
                                 step.moved.is_zero() ? no_cell("") : mass_cell(step.moved, units),
                                 mass_cell(step.after.gross, units)});
        return table.empty() ? "" : "last events:\n" + table.text(2);
    }

    std::string operator()(const Receive& k) const {
        const auto spec = facts(k.cylinder).spec;
        const auto mark = spec ? parse_spec_mark(*spec) : std::nullopt;
        const bool jug = mark && !mark->refillable;
        return fmt::format("write on the {}: {}\n", jug ? "jug" : "cylinder", k.cylinder) + now_line(k.cylinder) +
               (k.price ? fmt::format("price: {}\n", price_text(*k.price)) : "") + reclaimed(k);
    }
    // What the shop cannot see, and the label of who reclaimed it says.
    [[nodiscard]] std::string reclaimed(const Receive& k) const {
        const auto* gas = k.refrigerant ? book.catalogue().find(*k.refrigerant) : nullptr;
        if (k.condition != Condition::reclaimed || !gas) return {};
        const auto rule = first_matching<terms::ReclaimedVirginLimit>(
            book.rules().packs_of_country(facts(k.cylinder).country.value_or(book.info().country)), {gas, {}, {}},
            event().when.date());
        if (!rule) return {};
        return wrapped(fmt::format("reclaimed: at most {} % of it may be virgin gas ({}, {}); its label says so",
                                   rule->as<terms::ReclaimedVirginLimit>().at_most.text(), rule->rule->clause,
                                   tarebook::text_of(rule->status())),
                       0);
    }
    // Systems that a rule wants served with reclaimed gas: which of them it is, no register says.
    [[nodiscard]] std::string service_with_reclaimed(const Charge& k) const {
        const auto* appliance = book.entries().find(EntryKind::appliance, appliance_of(k.circuit));
        const auto* e = effect(k.from);
        if (!appliance || !e) return {};
        const bool reclaimed = std::none_of(e->levelled.lots.begin(), e->levelled.lots.end(), [](const Lot& lot) {
            return Mass() < lot.mass && lot.key.condition != Condition::reclaimed;
        });
        const auto rule = first_matching<terms::ServiceWithReclaimed>(
            packs_of_place(book.rules(), book.entries(), k.circuit, event().order()),
            subject_at(book.catalogue(), *appliance, event().order()), event().when.date());
        if (!rule || reclaimed) return {};
        return wrapped(
            fmt::format("note: from {} systems of these kinds are served with reclaimed gas, and this was none: "
                        "{} ({}, {})",
                        rule->rule->from ? date_text(*rule->rule->from) : "now on",
                        joined(rule->as<terms::ServiceWithReclaimed>().systems), rule->rule->clause,
                        tarebook::text_of(rule->status())),
            0);
    }
    std::string operator()(const Opening& k) const { return now_line(k.cylinder); }

    [[nodiscard]] std::string sent(const Send& k, std::string_view statement) const {
        const auto* e = effect(k.cylinder);
        const Mass went = e ? -e->moved : Mass();
        return fmt::format("{} went to {} in {}\nawaited from {}: {}\n", m(went), k.to, k.cylinder, k.to, statement);
    }
    // What the rule asks the technician to have on record about a shipment.
    [[nodiscard]] std::string shipment_record(const Return& k) const {
        const auto* e = effect(k.cylinder);
        const auto content = content_of(e ? e->before : CylinderState{}, facts(k.cylinder));
        const auto* gas = content.refrigerant ? book.catalogue().find(*content.refrigerant) : nullptr;
        const auto rule =
            gas ? first_matching<terms::ShipmentRecord>(
                      book.rules().packs_of_country(facts(k.cylinder).country.value_or(book.info().country)),
                      {gas, {}, {}}, event().when.date())
                : std::nullopt;
        if (!rule) return {};
        const bool weighed = k.gross || k.weighing.is_pair();
        return wrapped(
            fmt::format("{}: {} ({}, {}){}", weighed ? "on record here" : "to be on record",
                        joined(rule->as<terms::ShipmentRecord>().shows), rule->rule->clause,
                        tarebook::text_of(rule->status()), weighed ? "" : "; the quantity was not weighed as it went"),
            0);
    }
    std::string operator()(const Return& k) const {
        return sent(k, "a statement of the weight received, gas and date") + shipment_record(k) +
               wrapped(fmt::format("when it comes: tarebook settle {} --refrigerant W --oil W --water W --air W "
                                   "--outcome reclaimed",
                                   event_ref(book, stored)),
                       0);
    }
    std::string operator()(const Settle& k) const {
        const auto returned = book.event_named(k.target);
        const auto views = returned ? returns_among(book, {*returned}) : std::vector<ReturnView>();
        if (views.empty() || !views[0].statement || views[0].statement->id != stored.id)
            return fmt::format("a statement about {}, which settles no return\n", k.cylinder);
        return wrapped(fmt::format("statement of {} about {} (return {}, {})", views[0].what().to, k.cylinder,
                                   event_ref(book, *returned), date_text(returned->event.when.date())),
                       0) +
               settlement_text(views[0], units);
    }
    std::string operator()(const Recycle& k) const {
        std::vector<std::string> done;
        if (k.oil_separated) done.emplace_back("oil separated");
        if (k.drier_passes)
            done.push_back(fmt::format("{} pass{} through driers", *k.drier_passes, *k.drier_passes == 1 ? "" : "es"));
        if (k.machine) done.push_back("with " + *k.machine);
        if (k.acid_test) done.push_back("acid test: " + *k.acid_test);
        if (k.moisture_test) done.push_back("moisture test: " + *k.moisture_test);
        return wrapped(fmt::format("{} cleaned: {}", k.cylinder, done.empty() ? "how is not on record" : joined(done)),
                       0) +
               now_line(k.cylinder);
    }
    std::string operator()(const Destroy& k) const {
        return sent(k, "a statement of what was destroyed, how much and when");
    }
    std::string operator()(const Exchange& k) const {
        const auto* e = effect(k.cylinder);
        const auto deposit = money_or_words(k.deposit_amount, k.deposit);
        return fmt::format("{} went to {} in {}\nwrite on the cylinder that came: {}\nawaited from {}: a receipt{}\n",
                           m(e ? -e->moved : Mass()), k.with, k.cylinder, k.for_cylinder, k.with,
                           deposit ? ", deposit " + *deposit : "");
    }

    std::string operator()(const Release& k) const {
        std::string name;
        if (k.circuit) {
            if (const auto place = place_facts(book.entries(), *k.circuit, event().order())) name = place->refrigerant;
        } else if (k.cylinder) {
            const auto* e = effect(*k.cylinder);
            name = content_of(e ? e->before : CylinderState{}, facts(*k.cylinder)).refrigerant.value_or("");
        }
        const auto* gas = name.empty() ? nullptr : book.catalogue().find(name);
        std::string out =
            fmt::format("{} of {} released from {}\n", m(k.released()), name.empty() ? "unknown gas" : name,
                        k.circuit ? *k.circuit : k.cylinder.value_or("-"));
        const bool us = k.circuit ? place_under_us_law(book.entries(), *k.circuit, event().order())
                                  : law_of_the_us(facts(k.cylinder.value_or("")).country.value_or(book.info().country));
        out += caution_of_act(wrapped("caution: " + venting_caution(gas, us), 0), "leave and ventilate");
        return k.cylinder ? out + now_line(*k.cylinder) : out;
    }

    Said operator()(const Transfer& k) const {
        const auto* from = effect(k.from);
        const auto* into = effect(k.into);
        const Mass went = from ? -from->moved : Mass();
        const Mass came = into ? into->moved : Mass();
        std::string out = fmt::format("{} from {} into {}\n", m(came), k.from, k.into);
        if (went != came) out += fmt::format("hoses and scales: {}\n", m(went - came));
        return {out + filling(k.into), heat(k.into) + now_line(k.into) + now_line(k.from)};
    }
    std::string operator()(const Evacuate& k) const {
        const auto found = k.rise ? vacuum_held(k) : std::nullopt;
        const auto rise = k.rise ? parse_pressure(*k.rise) : Result<PressureReading>(fail(Error{}));
        const bool of_a_gauge = rise && std::holds_alternative<GaugePressure>(rise->value);
        const bool is_a_difference =
            found && rise && !of_a_gauge && rise->absolute(standard_atmosphere()) < found->reached;
        return fmt::format("{} evacuated: vacuum {}{}\n", k.cylinder ? *k.cylinder : k.circuit.value_or("-"),
                           reached_text(k),
                           is_a_difference ? fmt::format(" to {:.0f} micron", found->after.in_microns())
                           : of_a_gauge    ? " on a gauge after holding"
                                           : "");
    }
    std::string operator()(const Isolate& k) const {
        if (k.reopened) return fmt::format("{} reopened: it is back in service\n", k.circuit);
        auto out = wrapped(fmt::format("{} isolated{}", k.circuit, k.points ? ": " + *k.points : ""), 0);
        if (const auto before = isolated_before(book, k.circuit, event().order()))
            out += wrapped(fmt::format("note: it was isolated already, since {} ({})", moment_text(before->event.when),
                                       event_ref(book, *before)),
                           0);
        return out + fmt::format("next, at its end: tarebook isolate {} --reopened\n", k.circuit);
    }
    Said operator()(const PressureTest& k) const { return of_service(recorded_service(k)); }
    Said operator()(const Oil& k) const { return of_service(recorded_service(k)); }
    Said operator()(const FilterDrier& k) const { return of_service(recorded_service(k)); }
    Said operator()(const Identify& k) const { return of_service(recorded_service(book, stored, k)); }
    Said operator()(const Compressor& k) const { return of_service(recorded_service(k)); }
    [[nodiscard]] Said of_service(ServiceSaid said) const {
        if (!said.brief.empty()) said.cautions = caution_of_act(std::move(said.cautions), said.brief);
        return {std::move(said.done), std::move(said.cautions)};
    }
    [[nodiscard]] bool is_service() const {
        const auto& what = event().what;
        return std::holds_alternative<PressureTest>(what) || std::holds_alternative<Oil>(what) ||
               std::holds_alternative<FilterDrier>(what) || std::holds_alternative<Identify>(what) ||
               std::holds_alternative<Compressor>(what);
    }
    std::string operator()(const Pumpdown& k) const {
        const auto left = k.left ? fmt::format(", left at {}", *k.left) : std::string();
        const auto caution = caution_of_act(
            wrapped(fmt::format(
                        "caution: what takes it needs room (a receiver usually no more than 80 % full at {}: common "
                        "practice, no source); liquid shut in between two valves bursts a line when it warms",
                        units == DisplayUnits::kg ? "32 C" : "90 F"),
                    0),
            "room in what takes it; no liquid shut in between two valves");
        if (!k.to)
            return wrapped(fmt::format("{} pumped down{}: nothing left {}, nothing moves in the book", k.circuit, left,
                                       appliance_of(k.circuit)),
                           0) +
                   caution;
        return wrapped(fmt::format("{} pumped from {} into {}{}: an estimate ({}), counted in both",
                                   k.mass ? m(k.mass->mass) : "an unknown mass", k.circuit, *k.to, left,
                                   k.method.value_or("method not on record")),
                       0) +
               caution;
    }
    std::string operator()(const Requalify& k) const {
        const auto due = test_due(book.rules(), facts(k.cylinder));
        return fmt::format("{} tested {}, test due {}\n", k.cylinder, k.tested, due ? month_text(*due) : "not known");
    }
    std::string operator()(const Move& k) const { return fmt::format("{} is at {}\n", k.cylinder, k.place); }
    std::string operator()(const Condemn& k) const {
        return fmt::format("{} is condemned: mark it, and empty it into another\n", k.cylinder);
    }
    std::string operator()(const kinds::AirCheck& k) const {
        const auto page = air_check_of(book, k);
        const auto check = page ? air_check(page->question) : Result<tarebook::AirCheck>(fail(page.error()));
        if (!check)
            return wrapped(fmt::format("{} at {} on record; {}", k.pressure, k.temperature, check.error().what), 0);
        return air_check_text(*page, *check, {Format::text, units, now});
    }
    std::string operator()(const Found& k) const { return now_line(k.cylinder); }
    // What an event did, not the words of its command: those read as an order to the person at the screen.
    std::string operator()(const Lost& k) const {
        const auto* e = effect(k.cylinder);
        return fmt::format("{} recorded as lost: the book had {} in it\n", k.cylinder,
                           m(e ? e->before.contents() : Mass()));
    }
    std::string operator()(const Convert& k) const {
        return fmt::format("{} converted to {}\n", k.appliance, k.refrigerant);
    }
    // What a new scale still lacks, and how it is used.
    [[nodiscard]] static std::string after_adding(const kinds::Entry& k) {
        if (k.entry != EntryKind::scale) return {};
        std::vector<std::string> lacks;
        if (!k.values.contains("division")) lacks.emplace_back("--division W");
        if (!k.values.contains("calibrated")) lacks.emplace_back("--calibrated DAY");
        const auto use = wrapped(
            fmt::format("next: --scale {0} with each weight; a whole visit: tarebook visit SITE --scale {0}", k.code),
            0);
        if (lacks.empty()) return use;
        return wrapped(fmt::format("still to come: tarebook scale correct {} {}", k.code, joined(lacks, " ")), 0) + use;
    }
    std::string operator()(const kinds::Entry& k) const {
        std::vector<std::string> fields;
        for (const auto& [name, value] : k.values)
            if (name != "full_charge_to" || !value.text.empty()) fields.push_back(name);  // goes with full_charge
        return k.adds
                   ? fmt::format("{} {} added\n", tarebook::text_of(k.entry), k.code) + after_adding(k)
                   : wrapped(fmt::format("{} {} corrected: {}", tarebook::text_of(k.entry), k.code, joined(fields)), 0);
    }
    std::string operator()(const Reclassify& k) const { return now_line(k.cylinder); }
    std::string operator()(const Leak& k) const {
        const auto code = LeakLog(book).code_of(stored.id);
        return fmt::format("{}  leak of {}: {}\n", code, k.appliance, k.place) +
               wrapped(fmt::format("next: tarebook repair {0} --done TEXT; gas that goes in for it: --leak {0}", code),
                       0);
    }
    std::string operator()(const Inspect& k) const {
        if (k.of)
            return wrapped(fmt::format("{}: its detection system was audited ({}): {}{}", k.appliance, k.method,
                                       k.result, k.result == "pass" ? "" : "; until it passes, look for leaks by hand"),
                           0);
        return fmt::format("{} inspected ({}): {}\n", k.appliance, k.method,
                           k.result == "leak" ? "a leak was found; name it with: tarebook leak add " + k.appliance
                                              : "no leak found") +
               (k.parts ? wrapped("what was inspected: " + parts_text(*k.parts), 0) : "");
    }
    std::string operator()(const Repair& k) const { return fmt::format("{} repaired: {}\n", k.leak, k.done); }
    std::string operator()(const LeakTest& k) const {
        return fmt::format("{}: {} verification test, {}\n", k.leak, k.stage, k.result);
    }
    std::string operator()(const Plan& k) const {
        std::vector<std::string> missing;
        const auto ask = [&](const std::optional<std::string>& said, const char* what) {
            if (!said) missing.emplace_back(what);
        };
        const bool retrofit = k.plan == "retrofit";
        if (retrofit) ask(k.to, "the refrigerant that it gets (--to)");
        if (retrofit) ask(k.to_charge, "its new full charge (--to-charge)");
        if (retrofit) ask(k.procedure, "the procedure, step by step (--procedure)");
        ask(k.gas_goes, "where the refrigerant goes (--gas-goes)");
        if (!retrofit) ask(k.appliance_goes, "where the appliance goes (--appliance-goes)");
        ask(k.signed_by, "who signed it for the owner (--signed)");
        auto out = fmt::format("{}: planned to {} by {}\n", k.appliance, k.plan, k.by);
        if (k.signed_by) out += fmt::format("signed by {}\n", *k.signed_by);
        if (!missing.empty() && place_under_us_law(book.entries(), k.appliance, event().order()))
            out += wrapped(fmt::format("a plan also says (40 CFR 82.157(h)(2), from memory): {}; record it again with "
                                       "them, and void this one",
                                       joined(missing)),
                           0);
        return out;
    }
    // What the clocks make of it, as `due` has them: those that are open, and the rules that their days rest on.
    [[nodiscard]] std::string clocks_of(const std::string& appliance) const {
        const Date today = today_of(book, now);
        std::string out;
        for (const auto& clock : clocks_of_appliance(book, appliance, today))
            if (clock.also && clock.open_on(today))
                out += wrapped(fmt::format("{}{}: {}: {}", tarebook::text_of(clock.what),
                                           clock.leak.empty() ? "" : " " + clock.leak,
                                           clock.due_on ? "due " + date_text(*clock.due_on) : "suspended", clock.text),
                               2);
        return out.empty() ? fmt::format("it changes no clock of {}\n", appliance)
                           : fmt::format("clocks of {}:\n{}", appliance, out);
    }
    std::string operator()(const Mothball& k) const {
        return fmt::format("{}{}\n", k.appliance,
                           k.ended ? " is in use again" : " is mothballed: evacuated and shut down for a time") +
               clocks_of(k.appliance) +
               (k.ended ? ""
                        : wrapped(fmt::format("it ends with the first gas that goes in, or with: tarebook mothball {} "
                                              "--end",
                                              k.appliance),
                                  0));
    }
    std::string operator()(const Extension& k) const {
        return wrapped(fmt::format("{}: {}", k.appliance, extension_text(k)), 0) + clocks_of(k.appliance);
    }
    std::string operator()(const Trust& k) const {
        return fmt::format("the events of {} (book {}) count here from now on\n", k.called, k.book.substr(0, 12));
    }
    std::string operator()(const Withdraw& k) const {
        return fmt::format("of book {}, {}\n", k.book.substr(0, 12),
                           k.last ? "nothing counts beyond " + k.last->substr(0, k.last->find(':')) : "nothing counts");
    }
    std::string operator()(const Merge&) const { return "events of other books came in\n"; }
    std::string operator()(const Typist& k) const {
        return wrapped(
            fmt::format("{} types from here on{}", k.person ? book.name_of_person(*k.person) : "no one named",
                        k.device ? ", on " + *k.device : ""),
            0);
    }
    std::string operator()(const RemoveName& k) const {
        return wrapped(
            fmt::format("the book has no name any more of: {}. Asked for: {}", act_of(event()).substr(19), k.asked), 0);
    }
    std::string operator()(const Seal& k) const {
        return fmt::format("{} sealed: {} events, Merkle root over their digests\n  {}\nbalances\n  {}\n", k.year,
                           k.events, k.root, k.balances) +
               (k.edition ? wrapped("made under " + *k.edition, 0) : "") +
               wrapped(
                   "Later entries of that year are recorded as amendments; to see them: tarebook report year " + k.year,
                   0);
    }
    std::string operator()(const Void& k) const {
        const auto target = digest_from_hex(k.target) ? book.event_named(k.target) : std::nullopt;
        return target ? fmt::format("{} no longer counts: {}\n", event_ref(book, *target), act_of(target->event))
                      : act_of(event()) + "\n";
    }
    std::string operator()(const Resolve& k) const { return fmt::format("{} is resolved\n", k.finding); }
    template <class Other>
    std::string operator()(const Other&) const {
        return act_of(event()) + "\n";
    }

    // Work at equipment that moves no gas in the book, and where gas may come out nevertheless.
    [[nodiscard]] bool opens_equipment() const {
        const auto& what = event().what;
        return std::holds_alternative<Leak>(what) || std::holds_alternative<Evacuate>(what) ||
               std::holds_alternative<Isolate>(what) || std::holds_alternative<Fit>(what) ||
               std::holds_alternative<Pumpdown>(what);
    }
    // Where gas was moved by hand.
    [[nodiscard]] bool handled() const {
        const auto& what = event().what;
        return std::holds_alternative<Recover>(what) || std::holds_alternative<Charge>(what) ||
               std::holds_alternative<Reuse>(what) || std::holds_alternative<Transfer>(what);
    }
    [[nodiscard]] Said said() const {
        return std::visit([&](const auto& k) -> Said { return (*this)(k); }, event().what);
    }
    // Which weights came from the scale's port; the others were typed.
    [[nodiscard]] std::string from_scale() const {
        const auto names = weights_from_scale(event());
        if (names.empty()) return {};
        return wrapped(
            fmt::format("read from scale {}, not typed: {}", event().scale.value_or("not on record"), joined(names)),
            0);
    }
    [[nodiscard]] std::string text() const;
};

// What was found: exceptions, and below them what is not on record and other remarks.
struct FoundText {
    std::string exceptions, remarks;
    [[nodiscard]] bool empty() const { return exceptions.empty() && remarks.empty(); }
};
FoundText found_text(const Book& book, const StoredEvent& stored, const Outcome& outcome) {
    FoundText out;
    std::vector<std::string> not_on_record;
    std::string remarks;
    constexpr std::string_view ending = "-not-on-record";
    for (const auto& finding : outcome.findings) {
        if (finding.severity != Severity::note) {
            const auto id = finding_id(book, finding, stored);
            out.exceptions += "EXCEPTION " + finding_text(id, finding);
            if (const auto since = no_longer_over_since(book, {id, stored.id, stored.name, finding}); !since.empty())
                out.exceptions += wrapped("no longer over its limit since " + since, 2);
        } else if (finding.check == "technician-not-on-record" && stored.event.by) {
            remarks += wrapped("note: " + finding.text, 0);  // the name was given, and only the register lacks it
        } else if (finding.check.ends_with(ending)) {
            auto word = finding.check.substr(0, finding.check.size() - ending.size());
            std::replace(word.begin(), word.end(), '-', ' ');
            if (std::find(not_on_record.begin(), not_on_record.end(), word) == not_on_record.end())
                not_on_record.push_back(std::move(word));
        } else {
            remarks += wrapped("note: " + finding.text, 0);
        }
    }
    if (!not_on_record.empty()) out.remarks = wrapped("not on record: " + joined(not_on_record), 0);
    out.remarks += remarks;
    return out;
}

std::string recorded_line(const Book& book, const StoredEvent& stored) {
    return fmt::format("recorded as {}, {}{}\n", event_ref(book, stored), moment_text(stored.event.when),
                       stored.event.job ? ", job " + *stored.event.job : "");
}

std::string Screen::text() const {
    auto words = said();
    const auto found = found_text(book, stored, outcome);
    auto out = over_the_limit() + words.head;
    if (is_service())
        return out + found.exceptions + gas_caution(book, equipment(), touched()) + words.rest + found.remarks +
               recorded_line(book, stored);
    if (!handled())
        return out + (opens_equipment() ? gas_caution(book, equipment(), cylinders_of(event()), unbroken) : "") +
               words.rest + (whole() ? from_scale() : "") + recorded_line(book, stored) + found.exceptions +
               next_gap() + found.remarks;
    out += found.exceptions + next_gap() + gas_caution(book, equipment(), touched(), unbroken) + words.rest +
           (whole() ? from_scale() : "") + found.remarks;
    auto line = recorded_line(book, stored);
    if (!whole()) {
        line.pop_back();  // its line end
        line = wrapped(fmt::format("{}; more: tarebook report event {}", line, event_ref(book, stored)), 0);
    }
    return out + line;
}

// "412.50 USD each", "8.20 USD/lb"; empty where the receipts have none.
std::string price_of_each(const std::vector<StoredEvent>& events) {
    for (const auto& stored : events)
        if (const auto* k = std::get_if<Receive>(&stored.event.what); k && k->price)
            return price_text(*k->price) + (k->price->per == PricePer::all ? " each" : "");
    return {};
}

// A late entry changes a year whose figures were sealed, and perhaps given out: the years that these events are of.
std::vector<SealedYear> amended_by(const Book& book, const std::vector<StoredEvent>& events) {
    std::map<int, const Event*> of_year;
    for (const auto& stored : events) {
        const auto recorded_in = std::chrono::year_month_day(today_of(book, stored.event.recorded)).year();
        const auto take = [&](const Event& about) {
            const auto year = std::chrono::year_month_day(about.when.date()).year();
            if (year < recorded_in && !is_about_books(about.kind())) of_year[static_cast<int>(year)] = &stored.event;
        };
        take(stored.event);
        const auto* voids = std::get_if<Void>(&stored.event.what);
        if (const auto target = voids ? book.event_named(voids->target) : std::nullopt) take(target->event);
    }
    std::set<int> years;
    for (const auto& [year, event] : of_year) years.insert(year);
    auto out = sealed_among(book, years);
    // What was in the book when the year was sealed is no amendment.
    const auto was_in = [&](const SealedYear& sealed) {
        const auto& seal = sealed.seal.event;
        const auto& event = *of_year.at(sealed.year);
        return seal.book == event.book ? event.seq < seal.seq : event.recorded < seal.recorded;
    };
    out.erase(std::remove_if(out.begin(), out.end(), was_in), out.end());
    return out;
}

std::string recorded_text(const Book& book, const std::vector<StoredEvent>& events,
                          const std::vector<Outcome>& outcomes, DisplayUnits units, Instant now, CautionsSeen& seen) {
    std::string out;
    // Several jugs at once need one list: these IDs have to be written by hand.
    std::vector<std::string> jugs;
    for (const auto& stored : events)
        if (const auto* k = std::get_if<Receive>(&stored.event.what)) jugs.push_back(k->cylinder);
    if (jugs.size() > 1) out += wrapped("write on the jugs: " + joined(jugs), 0) + "\n";
    bool first = true;
    for (std::size_t i = 0; i < events.size(); ++i) {
        // a jug that came in with its delivery needs no screen of its own for its entry
        if (jugs.size() > 1 && std::holds_alternative<kinds::Entry>(events[i].event.what) &&
            found_text(book, events[i], outcomes[i]).empty())
            continue;
        if (!first && jugs.size() < 2) out += "\n";
        first = false;
        const Screen screen{book, events[i], outcomes[i], units, now, Length::short_answer, &seen};
        const auto* jug = std::get_if<Receive>(&events[i].event.what);
        if (!jug || jugs.size() < 2) {
            out += screen.text();
            continue;
        }
        out += screen.over_the_limit() + screen.now_line(jug->cylinder);
        if (i + 1 == events.size()) out += recorded_line(book, events[i]);
        const auto found = found_text(book, events[i], outcomes[i]);
        out += found.exceptions + found.remarks;
    }
    out += amended_text(amended_by(book, events));
    if (jugs.empty()) return out;
    // One purchase is one price: beside a single cylinder it stands already.
    if (const auto price = price_of_each(events); jugs.size() > 1 && !price.empty()) out += "price: " + price + "\n";
    std::size_t disposable = 0, unmarked = 0;
    for (const auto& jug : jugs) {
        const auto* facts = cylinder_facts(book.entries(), jug, order_at(Instant::max()));
        const auto mark = facts && facts->spec ? parse_spec_mark(*facts->spec) : std::nullopt;
        disposable += mark && !mark->refillable ? 1 : 0;
        unmarked += !facts || !facts->spec ? 1 : 0;
    }
    if (unmarked > 0 && jugs.size() > 1)
        out += bulleted(
            "their specification mark is not on record: read the collar, then `tarebook cylinder correct ID --spec "
            "MARK`");
    const auto caution = bulleted((disposable > 0 ? "a disposable jug is never refilled; "
                                   : unmarked > 0 ? "one that is marked DOT-39 is never refilled; "
                                                  : "") +
                                  heat_caution(units));
    const Screen last{book, events.back(), outcomes.back(), units, now, Length::short_answer, &seen};
    return out + last.caution_of_act(caution, "upright, secured, in the shade, no flame");
}

// What the event itself moved: out of a circuit, into one, away, or into the first of its cylinders.
std::optional<Mass> net_of(const StoredEvent& stored, const Outcome& outcome) {
    const auto& what = stored.event.what;
    if (const auto* k = std::get_if<Release>(&what)) return k->released();
    if (const auto* k = std::get_if<Pumpdown>(&what)) return k->mass ? std::optional(k->mass->mass) : std::nullopt;
    if (outcome.effects.empty()) {
        if (const auto* c = std::get_if<Charge>(&what)) return c->weighing.gained();
        if (const auto* r = std::get_if<Reuse>(&what)) return r->weighing.gained();
        return std::nullopt;
    }
    const Mass moved = outcome.effects.front().moved;
    const auto kind = stored.event.kind();
    const bool outward = kind == "charge" || kind == "reuse" || kind == "transfer" || kind == "return" ||
                         kind == "destroy" || kind == "exchange" || kind == "lost";
    return outward ? -moved : moved;
}

Json share_json(const Book& book, const Effect& effect) {
    const auto fill = fill_view_of(book, effect.cylinder, DisplayUnits::lb);
    const auto state = book.state(effect.cylinder);
    const bool late = holds_otherwise(effect.after, state);  // other events have left something else there since
    const auto* entry = cylinder_facts(book.entries(), effect.cylinder, {Instant::max(), {}, 0});
    return facts({{"cylinder", effect.cylinder},
                  {"place", place_of(entry ? *entry : CylinderFacts{}, effect.after)},
                  {"net_change", effect.moved},
                  {"gap", effect.gap},
                  {"net", effect.after.contents()},
                  {"gross", effect.after.gross},
                  {"stop_gross", fill ? std::optional(fill->weights.stop_gross) : std::nullopt},
                  {"room", fill ? std::optional(fill->weights.room) : std::nullopt},
                  {"now", late ? facts({{"net", state.contents()}, {"gross", state.gross}}) : Json::null()}});
}

Json event_json(const Book& book, const StoredEvent& stored, const Outcome& outcome) {
    const auto net = net_of(stored, outcome);
    Json cylinders = Json::array(), findings = Json::array(), settled = Json::null();
    for (const auto& effect : outcome.effects) cylinders.push(share_json(book, effect));
    for (const auto& finding : outcome.findings)
        findings.push(finding_json(finding_id(book, finding, stored), finding));
    if (const auto* k = std::get_if<Settle>(&stored.event.what))
        if (const auto returned = book.event_named(k->target))
            for (const auto& view : returns_among(book, {*returned})) settled = return_json(view);
    const auto typing = book.typed_by(stored);
    const auto compared = compare_recovery(book, stored.event, net.value_or(Mass()), DisplayUnits::lb);
    return facts({{"event", event_ref(book, stored)},
                  {"digest", hex(stored.digest)},
                  {"book", hex(stored.event.book)},
                  {"kind", stored.event.kind()},
                  {"at", stored.event.when},
                  {"job", stored.event.job},
                  {"technician", stored.event.by},
                  {"typed_by", typing ? typing->name : std::nullopt},
                  {"typed_on", typing && !typing->device.empty() ? std::optional(typing->device) : std::nullopt},
                  {"net", net},
                  {"weights_from_scale", Json::list(weights_from_scale(stored.event))},
                  {"cylinders", std::move(cylinders)},
                  {"expectation", compared ? compared_json(*compared) : Json::null()},
                  {"return", std::move(settled)},
                  {"findings", std::move(findings)}});
}

Json recorded_json(const Book& book, const std::vector<StoredEvent>& events, const std::vector<Outcome>& outcomes) {
    Json list = Json::array(), amended = Json::array();
    for (std::size_t i = 0; i < events.size(); ++i) list.push(event_json(book, events[i], outcomes[i]));
    for (const auto& sealed : amended_by(book, events))
        amended.push(facts({{"year", sealed.year},
                            {"sealed_by", sealed.name},
                            {"sealed_on", date_text(sealed.seal.event.when.date())}}));
    return page_of("recorded", {{"events", std::move(list)}, {"amended_sealed_years", std::move(amended)}});
}

std::string recorded_csv(const Book& book, const std::vector<StoredEvent>& events,
                         const std::vector<Outcome>& outcomes) {
    Csv csv({"event", "at", "kind", "job", "net_lb", "cylinder", "cylinder_net_lb", "cylinder_gross_lb", "findings"});
    for (std::size_t i = 0; i < events.size(); ++i) {
        std::vector<std::string> ids;
        for (const auto& finding : outcomes[i].findings)
            if (finding.severity != Severity::note) ids.push_back(finding_id(book, finding, events[i]));
        const auto row = [&](const std::string& cylinder, const std::optional<Mass>& net,
                             const std::optional<Mass>& gross) {
            csv.row({event_ref(book, events[i]), moment_iso(events[i].event.when), std::string(events[i].event.kind()),
                     events[i].event.job.value_or(""), pounds_cell(net_of(events[i], outcomes[i])), cylinder,
                     pounds_cell(net), pounds_cell(gross), joined(ids, " ")});
        };
        if (outcomes[i].effects.empty()) row("", {}, {});
        for (const auto& effect : outcomes[i].effects)
            row(effect.cylinder, effect.after.contents(), effect.after.gross);
    }
    return csv.page();
}

// What the event did, judged once more on the states before it; its exceptions are those that stand in the book.
Outcome outcome_of(const Book& book, const StoredEvent& stored) {
    States before;
    for (const auto& code : cylinders_of(stored.event)) {
        const auto steps = book.steps_before(code, stored.event.order(), 1);
        before.emplace(code, steps.empty() ? CylinderState() : steps.back().after);
    }
    auto outcome = Judge(book.reference_data()).evaluate(stored.event, before, book.entries());
    std::erase_if(outcome.findings, [](const Finding& f) { return f.severity != Severity::note; });
    for (auto& finding : book.findings(stored.id)) outcome.findings.push_back(std::move(finding));
    return outcome;
}

}  // namespace
}  // namespace report

Result<Page> event_page(const Book& book, std::string_view event, const PageOptions& options) {
    const auto stored = book.event_named(std::string(event));
    if (!stored)
        return fail({ErrorKind::refused, "event-unknown", fmt::format("the book has no event {}", event),
                     std::string(event), "E12, or the start of a digest", "tarebook report cylinder ID lists events"});
    const auto outcome = report::outcome_of(book, *stored);
    if (options.format != Format::text) return recorded_page(book, {*stored}, {outcome}, options);
    Page page;
    for (const auto& finding : outcome.findings)
        page.has_exceptions = page.has_exceptions || finding.severity != Severity::note;
    if (stored->voided_by) page.body = fmt::format("VOIDED by {}\n", *stored->voided_by);
    page.body += report::Screen{book, *stored, outcome, options.units, options.now, report::Length::whole}.text();
    if (const auto typing = book.typed_by(*stored);
        typing && !std::holds_alternative<kinds::Typist>(stored->event.what))
        page.body += report::typed_text(*typing) + "\n";
    if (const auto by = report::BookNames(book).recorded_by(stored->event); !by.empty()) page.body += by + "\n";
    page.body = report::laid_out(page.body, options.width);
    return page;
}

Page recorded_page(const Book& book, const std::vector<StoredEvent>& events, const std::vector<Outcome>& outcomes,
                   const PageOptions& options) {
    Page page;
    for (const auto& outcome : outcomes)
        for (const auto& finding : outcome.findings)
            page.has_exceptions = page.has_exceptions || finding.severity != Severity::note;
    switch (options.format) {
        case Format::json:
            page.body = report::recorded_json(book, events, outcomes).page();
            break;
        case Format::csv:
            page.body = report::recorded_csv(book, events, outcomes);
            break;
        case Format::text:
        case Format::html:  // the command line refuses both for this page
        case Format::xlsx: {
            report::CautionsSeen seen{options.cautions_seen, {}};
            page.body = report::laid_out(
                report::recorded_text(book, events, outcomes, options.units, options.now, seen), options.width);
            page.cautions = std::move(seen.now);
            break;
        }
    }
    return page;
}

}  // namespace tarebook
