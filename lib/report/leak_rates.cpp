#include "leak_rates.hpp"

#include "tarebook/checks/site_packs.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "additions.hpp"
#include "leak_log.hpp"
#include "shared_text.hpp"
#include "tarebook/report/report.hpp"
#include "tarebook/rules/purged.hpp"

namespace tarebook::report {
namespace {

Reason reason_of(const Event& event) {
    if (const auto* k = std::get_if<kinds::Recover>(&event.what)) return k->reason;
    if (const auto* k = std::get_if<kinds::Charge>(&event.what)) return k->reason;
    if (const auto* k = std::get_if<kinds::Reuse>(&event.what)) return k->reason;
    return Reason::leak;
}

Date local_date(const Book& book, Instant at) {
    const auto moment = moment_in_zone(at, book.info().zone);
    return moment ? moment->date() : std::chrono::floor<std::chrono::days>(at);
}

std::vector<FullChargeRevision> full_charges(const Book& book, const Entry& appliance) {
    std::vector<FullChargeRevision> out;
    const auto it = appliance.fields().find("full_charge");
    if (it == appliance.fields().end()) return out;
    for (const auto& value : it->second)
        if (const auto mass = full_charge(appliance, value.from))
            out.push_back({local_date(book, value.from.at), *mass});
    return out;
}

// Where two rules speak (a blend of both kinds of gas), the lower threshold is shown.
std::optional<RuleMatch> lowest_threshold(RulePacks packs, const RuleSubject& subject, Date on) {
    std::optional<RuleMatch> out;
    for (const auto& m : matching<terms::LeakRateThreshold>(packs, subject, on))
        if (!out || m.as<terms::LeakRateThreshold>().threshold < out->as<terms::LeakRateThreshold>().threshold) out = m;
    return out;
}

std::vector<Reason> excluded_reasons(RulePacks packs) {
    std::vector<Reason> out{Reason::initial, Reason::conversion, Reason::seasonal};
    for (const auto* pack : packs)
        for (const auto& rule : pack->rules)
            if (const auto* terms = std::get_if<terms::LeakRateCalculation>(&rule.terms)) {
                out = terms->excluded;
                out.push_back(Reason::purged);  // where a rule lets it be, see counted_as()
                return out;
            }
    out.push_back(Reason::purged);
    return out;
}

// What takes the place of purged gas is an addition, unless enough of that was destroyed.
Reason counted_as(const KnownMovement& m, RulePacks packs, const RuleSubject& subject) {
    if (m.movement.reason != Reason::purged) return m.movement.reason;
    const auto rule = first_matching<terms::PurgedRefrigerant>(packs, subject, m.movement.on);
    if (!rule || !m.destroyed) return Reason::leak;
    const auto& terms = rule->as<terms::PurgedRefrigerant>();
    return reaches(Ratio::of(*m.destroyed), terms.compare, terms.destroyed) ? Reason::purged : Reason::leak;
}

std::vector<KnownMovement> one_of_each_event(std::vector<KnownMovement> movements) {
    const auto same = [](const KnownMovement& a, const KnownMovement& b) { return a.event == b.event; };
    if (std::adjacent_find(movements.begin(), movements.end(), same) == movements.end()) return movements;
    std::vector<KnownMovement> out;
    for (auto& m : movements)
        if (!out.empty() && same(out.back(), m))
            out.back().movement.mass += m.movement.mass;
        else
            out.push_back(std::move(m));
    return out;
}

// Gas that goes in ends the time for which an appliance was mothballed.
void add_ends_of_mothballing(const std::vector<KnownMovement>& known, std::vector<LeakEvent>& events) {
    std::vector<LeakEvent> ends;
    for (const auto& begun : events) {
        if (begun.kind != LeakEvent::Kind::mothballed) continue;
        const KnownMovement* first = nullptr;
        for (const auto& m : known)
            if (Mass() < m.movement.mass && begun.order < m.order && (!first || m.order < first->order)) first = &m;
        if (!first) continue;
        LeakEvent end;
        end.kind = LeakEvent::Kind::in_use;
        end.on = first->movement.on;
        end.source = first->movement.source;
        end.order = first->order;
        ends.push_back(std::move(end));
    }
    for (const auto& end : ends) {
        const auto later = [&](const LeakEvent& e) { return end.order < e.order; };
        const auto place = std::find_if(events.begin(), events.end(), later);
        events.insert(place, end);
    }
}

void take_site(const Rulebook& rules, const Entry* site, LeakRecord& out) {
    const auto last = order_at(Instant::max());
    auto named = packs_of_site(rules, site, last);
    out.packs = std::move(named.packs);
    out.unknown_packs = std::move(named.unknown);
    out.packs_elsewhere = std::move(named.elsewhere);
    out.country = std::move(named.country);
    if (!site) return;
    if (const auto word = site->text("leak_rate_method", last))
        if (const auto method = leak_rate_method_from(*word)) {
            out.options.method = *method;
            out.method_on_record = true;
        }
}

LeakRecord record_of(const Book& book, std::string_view code, const std::vector<Flow>& flows, Date reasons_from,
                     const LeakLog& log) {
    std::vector<KnownMovement> movements;
    for (const auto& flow : flows) {
        if (flow.kind == "release" || appliance_of(flow.circuit) != code) continue;
        KnownMovement m{flow.event_id, {flow.date, flow.job, flow.mass, Reason::leak, "", ""}, {}, {}};
        if (flow.date >= reasons_from)
            if (const auto stored = book.event(flow.event_id)) {
                m.movement.reason = reason_of(stored->event);
                m.destroyed = destroyed_by(stored->event);
                m.movement.leak = book.leak_named_in(stored->event);
                m.movement.source = event_ref(book, *stored);
                m.when = stored->event.when;
                m.order = stored->event.order();
            }
        movements.push_back(std::move(m));
    }
    return leak_record(book, code, std::move(movements), log);
}

}  // namespace

LeakRecord leak_record(const Book& book, std::string_view code, std::vector<KnownMovement> movements_of_it,
                       const LeakLog& log, Date rated_from) {
    const auto known = one_of_each_event(std::move(movements_of_it));
    LeakRecord out;
    out.appliance = std::string(code);
    take_site(book.rules(), book.entries().find(EntryKind::site, site_of(out.appliance)), out);
    const auto* appliance = book.entries().find(EntryKind::appliance, code);
    if (appliance) {
        out.now = subject_at(book.catalogue(), *appliance, order_at(Instant::max()));
        out.full_charge = full_charges(book, *appliance);
    }
    out.events = log.of(code);
    out.options.repaired = all_repaired_days(out.events);
    add_ends_of_mothballing(known, out.events);
    std::map<std::string, const KnownMovement*, std::less<>> by_source;
    std::vector<ApplianceMovement> movements;
    for (const auto& m : known) {
        movements.push_back(m.movement);
        if (m.movement.reason == Reason::purged)
            movements.back().reason =
                appliance ? counted_as(m, out.packs, subject_at(book.catalogue(), *appliance, m.order)) : Reason::leak;
        if (m.movement.source.empty()) continue;
        by_source[m.movement.source] = &m;
        if (m.movement.reason != Reason::disposal || !m.movement.mass.is_negative()) continue;
        LeakEvent disposed;
        disposed.kind = LeakEvent::Kind::disposed;
        disposed.on = m.movement.on;
        disposed.source = m.movement.source;
        out.events.push_back(std::move(disposed));
    }
    const auto excluded = excluded_reasons(out.packs);
    auto in_all = sorted(movements, excluded);
    out.additions = std::move(in_all.additions);
    out.taken_out = std::move(in_all.taken_out);
    for (std::size_t i = 0; i < out.additions.size(); ++i) {
        if (out.additions[i].on < rated_from) continue;
        auto& rated = out.rated.emplace_back();
        rated.addition = out.additions[i];
        const auto it = by_source.find(rated.addition.sources.back());
        if (it == by_source.end()) continue;
        rated.event = it->first;
        const auto& left_out = rated.addition.excluded_reasons;
        if (appliance && std::find(left_out.begin(), left_out.end(), Reason::purged) != left_out.end())
            rated.purged = first_matching<terms::PurgedRefrigerant>(
                out.packs, subject_at(book.catalogue(), *appliance, it->second->order), rated.addition.on);
        rated.when = it->second->when;
        const auto subject = appliance ? subject_at(book.catalogue(), *appliance, it->second->order) : RuleSubject();
        const auto regimes =
            appliance ? leak_repair_regimes(out.packs, subject, rated.addition.on) : std::vector<RuleMatch>();
        rated.rate =
            leak_rate(out.additions, i, out.full_charge,
                      regimes.empty() ? out.options : out.options.by(regimes.front().as<terms::LeakRateCalculation>()));
        if (regimes.empty()) continue;
        rated.regime = regimes.front();
        rated.threshold = lowest_threshold(out.packs, subject, rated.addition.on);
        if (!rated.rate || !rated.threshold) continue;
        const auto& threshold = rated.threshold->as<terms::LeakRateThreshold>();
        rated.exceeded = reaches(rated.rate->rate, threshold.compare, threshold.threshold);
    }
    return out;
}

std::optional<Percent> destroyed_by(const Event& event) {
    const kinds::Put* put = std::get_if<kinds::Charge>(&event.what);
    if (!put) put = std::get_if<kinds::Reuse>(&event.what);
    if (!put || !put->destroyed) return std::nullopt;
    const auto read = parse_destroyed(*put->destroyed);
    return read ? std::optional(*read) : std::nullopt;
}

RuleSubject subject_at(const Catalogue& catalogue, const Entry& appliance, const OrderKey& when) {
    RuleSubject out;
    if (const auto name = appliance.text("refrigerant", when)) out.refrigerant = catalogue.find(*name);
    out.full_charge = full_charge(appliance, when);
    if (const auto word = appliance.text("category", when)) out.category = appliance_category_from(*word);
    return out;
}

LeakRecord packs_of(const Rulebook& rules, const Entry& site) {
    LeakRecord out;
    take_site(rules, &site, out);
    return out;
}

LeakRecord leak_record(const Book& book, std::string_view appliance, Date until) {
    return leak_record(book, appliance, until, LeakLog(book));
}
LeakRecord leak_record(const Book& book, std::string_view appliance, Date until, const LeakLog& log) {
    return record_of(book, appliance, book.flows(appliance, beginning, until), beginning, log);
}

const RatedAddition* addition_soon_before(const LeakRecord& record, const RatedAddition& which) {
    const auto& a = which.addition;
    if (!a.counts() || !a.leak.empty()) return nullptr;
    const RatedAddition* out = nullptr;
    for (const auto& other : record.rated) {
        const auto& b = other.addition;
        if (&other == &which || !b.counts() || b.on > a.on || a.on - b.on >= soon_after) continue;
        if (b.on == a.on) continue;  // additions of one day are one already
        out = &other;
    }
    return out;
}

LeakRecord recent_leak_record(const Book& book, std::string_view appliance, const std::vector<Flow>& flows,
                              Date until) {
    const LeakLog log(book);
    const auto from = until - recent;
    auto out = record_of(book, appliance, flows, from, log);
    // An annualized rate looks for the addition before it, and for the first one for the same leak, however long ago.
    const auto reaches_back = [&](const RatedAddition& a) {
        if (a.addition.on != until) return false;
        if (!a.addition.put_back_uncovered.is_zero()) return true;  // it may have been taken out long ago
        if (!a.rate || a.rate->method == LeakRateMethod::rolling) return false;
        const auto before = [&](const LeakAddition& other) { return other.on >= from && other.on == a.rate->since; };
        return !a.addition.leak.empty() || std::none_of(out.additions.begin(), out.additions.end(), before);
    };
    if (std::none_of(out.rated.begin(), out.rated.end(), reaches_back)) return out;
    return record_of(book, appliance, book.flows(appliance, beginning, until), from, log);
}

std::string threshold_text(const RuleMatch& threshold) {
    return fmt::format("{} % ({}, {})", threshold.as<terms::LeakRateThreshold>().threshold.text(),
                       threshold.rule->clause, tarebook::text_of(threshold.status()));
}

std::string verdict_text(const RatedAddition& rated) {
    if (!rated.regime) return "no leak-rate rule of the packs applies to it on that day";
    if (!rated.threshold) return "threshold not known: its category is not on record";
    return (rated.exceeded ? "OVER its threshold of " : "threshold ") + threshold_text(*rated.threshold);
}

}  // namespace tarebook::report

namespace tarebook {

std::optional<AdditionBefore> addition_not_long_before(const Book& book, const Event& draft) {
    const kinds::Put* put = std::get_if<kinds::Charge>(&draft.what);
    if (!put) put = std::get_if<kinds::Reuse>(&draft.what);
    if (!put || put->leak || put->reason != Reason::leak) return std::nullopt;
    const auto appliance = appliance_of(put->circuit);
    const Date day = draft.when.date();
    const auto record = report::leak_record(book, appliance, day);
    std::optional<AdditionBefore> out;
    for (const auto& a : record.additions) {
        if (!a.counts() || a.on >= day || day - a.on >= report::soon_after) continue;
        if (a.job && a.job == draft.job) continue;  // one job is one addition
        out = AdditionBefore{appliance, a.sources.back(), a.on, a.mass};
    }
    return out;
}

}  // namespace tarebook
