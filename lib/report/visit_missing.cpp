// What a visit left open.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "additions.hpp"
#include "leak_log.hpp"
#include "no_longer_over.hpp"
#include "shared_text.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/report/visit_page.hpp"
#include "visit.hpp"

namespace tarebook {
namespace report {
namespace {

std::string time_of(const Moment& when) {
    return moment_text(when);
}

// The last word about each circuit that the job closed off.
void add_closed_circuits(std::vector<VisitGap>& out, const std::vector<StoredEvent>& events) {
    std::map<std::string, const StoredEvent*, CodeOrder> last;
    for (const auto& stored : events)
        if (const auto* k = std::get_if<kinds::Isolate>(&stored.event.what)) last[k->circuit] = &stored;
    for (const auto& [circuit, stored] : last)
        if (!std::get<kinds::Isolate>(stored->event.what).reopened)
            out.push_back({fmt::format("{} is closed off since {}", circuit, time_of(stored->event.when)),
                           fmt::format("tarebook isolate {} --reopened", circuit)});
}

// A net weight that was typed says nothing of the scale; that of a jug is stamped on it.
void add_weights(std::vector<VisitGap>& out, const std::vector<StoredEvent>& events) {
    for (const auto& stored : events) {
        const auto* recover = std::get_if<kinds::Recover>(&stored.event.what);
        const auto* reuse = std::get_if<kinds::Reuse>(&stored.event.what);
        const auto* weighing = recover ? &recover->weighing : reuse ? &reuse->weighing : nullptr;
        if (weighing && !weighing->is_pair())
            out.push_back(
                {fmt::format("{} {} has no weight before and after", stored.name, act_of(stored.event)),
                 fmt::format("tarebook correct {} --before W --after W --why TEXT, if they were read", stored.name)});
    }
}

// The last word about each circuit that was tested with nitrogen.
void add_failed_tests(std::vector<VisitGap>& out, const std::vector<StoredEvent>& events) {
    std::map<std::string, const StoredEvent*, CodeOrder> last;
    for (const auto& stored : events)
        if (const auto* k = std::get_if<kinds::PressureTest>(&stored.event.what)) last[k->circuit] = &stored;
    for (const auto& [circuit, stored] : last)
        if (std::get<kinds::PressureTest>(stored->event.what).result != "pass")
            out.push_back(
                {fmt::format("the pressure test of {} at {} failed", circuit, time_of(stored->event.when)),
                 fmt::format("find the leak, then: tarebook pressure-test {} --pressure P --result pass", circuit)});
}

void add_leaks(std::vector<VisitGap>& out, const Book& book, const std::vector<StoredEvent>& events) {
    struct LeakState {
        std::string place;
        bool of_job = false, repaired = false, tested = false;
    };
    std::map<std::string, LeakState> leaks;
    const LeakLog log(book);
    for (const auto& [appliance, history] : log.all())
        for (const auto& e : history) {
            if (e.leak.empty()) continue;
            auto& leak = leaks[e.leak];
            if (e.kind == LeakEvent::Kind::found) leak.place = fmt::format("{} ({})", appliance, e.text);
            if (e.kind == LeakEvent::Kind::repaired) leak.repaired = true;
            if (e.kind == LeakEvent::Kind::tested) leak.tested = e.good;
            if (e.kind == LeakEvent::Kind::tested && !e.good) leak.repaired = false;
            leak.of_job = leak.of_job || std::any_of(events.begin(), events.end(),
                                                     [&](const StoredEvent& s) { return s.name == e.source; });
        }
    for (const auto& [code, leak] : leaks) {
        if (!leak.of_job || leak.tested) continue;
        if (leak.repaired)
            out.push_back({fmt::format("{} at {} was repaired, and no passed test is on record", code, leak.place),
                           fmt::format("tarebook leak-test {} --stage initial --result pass|fail", code)});
        else
            out.push_back({fmt::format("{} at {} is not repaired", code, leak.place),
                           fmt::format("tarebook repair {} --done TEXT", code)});
    }
}

// Recovered to open the circuit, and not put back. What hoses keep, a twentieth at most, is no gap (common practice, no
// source).
void add_gas_out(std::vector<VisitGap>& out, const Book& book, const std::vector<StoredEvent>& events,
                 DisplayUnits units) {
    std::map<std::string, Sums, CodeOrder> circuits;
    std::map<std::string, std::string> into;
    for (const auto& stored : events) {
        const auto* k = std::get_if<kinds::Recover>(&stored.event.what);
        if (k && k->reason != Reason::open && k->reason != Reason::leak) continue;
        if (std::holds_alternative<kinds::Pumpdown>(stored.event.what)) continue;  // it is in an appliance
        for (const auto& flow : flows_of(book, stored)) circuits[flow.circuit].take(flow);
        if (k) into[k->circuit] = k->into;
    }
    for (const auto& [circuit, sums] : circuits)
        if (const Mass left = sums.recovered - sums.put_in(); left.in_pounds() * 20 > sums.recovered.in_pounds())
            out.push_back(
                {fmt::format("{} recovered from {} is not put back", mass_text(left, units), circuit),
                 fmt::format("tarebook reuse --circuit {} --from {} --before W --after W", circuit, into[circuit])});
}

void add_begun(std::vector<VisitGap>& out, const Book& book, const VisitQuestion& question) {
    for (const auto& b : question.begun) {
        if (site_of(b.circuit) != question.site) continue;
        const auto begun = moment_in_zone(b.begun, book.info().zone);
        out.push_back({fmt::format("the recovery from {} into {} was begun at {} and is not finished", b.circuit,
                                   b.cylinder, begun ? moment_text(*begun) : instant_text(b.begun)),
                       fmt::format("tarebook recover finish {} --after W", b.cylinder)});
    }
}

// What the checks found in the events of this visit, the dangerous first.
void add_exceptions_of_visit(std::vector<VisitGap>& out, const Book& book, const std::vector<StoredEvent>& events,
                             const VisitQuestion& question) {
    std::set<std::int64_t> of_visit;
    for (const auto& stored : events)
        if (is_of_visit(stored, question)) of_visit.insert(stored.id);
    if (of_visit.empty()) return;
    auto found = book.open_findings();
    std::erase_if(found, [&](const OpenFinding& open) { return !of_visit.contains(open.event_id); });
    for (const auto& open : by_danger(book, std::move(found)))
        out.push_back({fmt::format("exception at {}: {}", open.event, open.finding.text),
                       danger_of(open.finding.check) == Danger::none
                           ? fmt::format("tarebook resolve {} --why TEXT", open.id)
                           : fmt::format("tarebook report event {}", open.event),
                       true});
}

}  // namespace

bool is_of_visit(const StoredEvent& stored, const VisitQuestion& q) {
    const auto& e = stored.event;
    if (stored.voided_by || stored.quarantined) return false;
    if (e.when.at < q.from && (!q.late_entries || e.recorded < q.from)) return false;
    return !q.to || e.when.at <= *q.to;
}

}  // namespace report

std::vector<VisitGap> missing_of_visit(const Book& book, const VisitQuestion& question) {
    auto events = book.events_of_job(question.job);
    std::erase_if(events, [](const StoredEvent& e) { return e.voided_by || e.quarantined; });
    std::vector<VisitGap> out;
    report::add_exceptions_of_visit(out, book, events, question);
    report::add_begun(out, book, question);
    report::add_closed_circuits(out, events);
    report::add_failed_tests(out, events);
    report::add_weights(out, events);
    report::add_leaks(out, book, events);
    report::add_gas_out(out, book, events, book.info().units);
    return out;
}

}  // namespace tarebook
