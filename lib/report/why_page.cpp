// The reasons of a value: the figures, the formula, the clause and the events behind an exception, a clock or a rate.
#include <fmt/format.h>

#include <algorithm>

#include "book_names.hpp"
#include "check_text.hpp"
#include "clock_text.hpp"
#include "document.hpp"
#include "leak_rates.hpp"
#include "no_longer_over.hpp"
#include "shared_text.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/units/nearest.hpp"

namespace tarebook {
namespace report {
namespace {

struct Why {
    std::string name;
    std::vector<std::string> figures, formulas, clauses;
    std::vector<StoredEvent> events;  // each once
};

std::string event_line(const Book& book, BookNames& names, const StoredEvent& stored) {
    const auto& e = stored.event;
    const auto typing = book.typed_by(stored);
    const auto recorded = names.recorded_by(e);
    return fmt::format("{}  {}  {}{}{}{}{}{}", event_ref(book, stored), moment_text(e.when), act_of(e),
                       e.job ? ", job " + *e.job : "", e.by ? ", by " + *e.by : "",
                       typing ? ", " + typed_text(*typing) : "", recorded.empty() ? "" : ", " + recorded,
                       stored.voided_by ? ", voided by " + *stored.voided_by : "");
}
void add_event(const StoredEvent& stored, Why& why) {
    const auto same = [&](const StoredEvent& one) { return one.id == stored.id; };
    if (std::none_of(why.events.begin(), why.events.end(), same)) why.events.push_back(stored);
}
void add_event(const Book& book, std::string_view name, Why& why) {
    if (name.empty()) return;
    if (const auto stored = book.event_named(name)) add_event(*stored, why);
}

void add_rule(const RuleMatch& m, Why& why) {
    const auto& rule = *m.rule;
    why.clauses.push_back(fmt::format("{} ({}, {} of {}, {}){}", rule.clause, rule.id, m.pack->id,
                                      date_text(m.pack->date), tarebook::text_of(m.status()),
                                      rule.note.empty() ? "" : ": " + rule.note));
    if (m.scope)
        why.clauses.push_back(fmt::format("applies to it through {} ({}{}{}){}", m.scope->clause, m.scope->id,
                                          m.scope->from ? ", from " + date_text(*m.scope->from) : "",
                                          m.scope->to ? ", until " + date_text(*m.scope->to) : "",
                                          m.scope->note.empty() ? "" : ": " + m.scope->note));
}

// The addition that an event is part of, with the events that it came from.
bool add_rate(const Book& book, const std::string& event, const std::string& appliance, Why& why) {
    const auto record = leak_record(book, appliance, last_day_of_all);
    for (const auto& a : record.rated) {
        const auto& sources = a.addition.sources;
        if (std::find(sources.begin(), sources.end(), event) == sources.end()) continue;
        why.figures.push_back(fmt::format("{} added to {} on {}", mass_text(a.addition.mass, book.info().units),
                                          appliance, date_text(a.addition.on)));
        if (!a.rate) {
            why.formulas.emplace_back(a.addition.counts() ? "no rate: the full charge is not on record"
                                                          : "no rate: nothing of it counts as an addition");
        } else {
            std::optional<Percent> limit;
            if (a.threshold) limit = a.threshold->as<terms::LeakRateThreshold>().threshold;
            why.formulas.push_back(formula_text(*a.rate, limit, book.info().units));
            why.formulas.push_back(verdict_text(a));
            for (const auto i : a.rate->additions)
                for (const auto& source : record.additions[i].sources) add_event(book, source, why);
        }
        if (a.threshold) add_rule(*a.threshold, why);
        return true;
    }
    return false;
}

std::string appliance_of_event(const Event& e) {
    if (const auto* k = std::get_if<kinds::Charge>(&e.what)) return appliance_of(k->circuit);
    if (const auto* k = std::get_if<kinds::Reuse>(&e.what)) return appliance_of(k->circuit);
    if (const auto* k = std::get_if<kinds::Recover>(&e.what)) return appliance_of(k->circuit);
    return {};
}

std::optional<Why> why_clock(const Book& book, std::string_view id, Date on) {
    const auto item = clock_named(book, id, on);
    if (!item) return std::nullopt;
    const auto& c = item->clock;
    Why why;
    why.name = c.id();
    why.figures.push_back(
        fmt::format("{} {}{}: {}", tarebook::text_of(c.what), c.subject, c.leak.empty() ? "" : " " + c.leak, c.text));
    why.figures.push_back(fmt::format("due {}{}",
                                      c.due_on ? date_text(*c.due_on)
                                      : c.also ? "on no day: it is suspended"
                                               : "on no day that the rule names",
                                      c.open_on(on) && c.late_on(on) ? ", LATE" : ""));
    if (c.closed_on) why.figures.push_back(fmt::format("closed by {} on {}", c.closed_by, date_text(*c.closed_on)));
    if (c.rule) add_rule(*c.rule, why);
    if (c.also) add_rule(*c.also, why);
    add_event(book, c.opened_by, why);
    add_event(book, c.closed_by, why);
    if (c.what == ClockKind::repair || c.what == ClockKind::chronic_report || c.what == ClockKind::plan)
        add_rate(book, c.opened_by, c.subject, why);
    return why;
}

std::string_view sentence_of(std::string_view check) {
    // asked where a void is recorded, and at each look at the book
    if (check == "entry-holds-gas") return "the entry of a cylinder that holds gas is voided";
    for (const auto& known : all_checks())
        if (known.name == check) return known.sentence;
    return {};
}

// An exception by its name, CHECK/SUBJECT/EVENT; also one that was resolved.
std::optional<Why> why_finding(const Book& book, std::string_view id) {
    const auto slash = id.rfind('/');
    if (slash == std::string_view::npos) return std::nullopt;
    const auto stored = book.event_named(id.substr(slash + 1));
    if (!stored) return std::nullopt;
    auto findings = book.findings(stored->id);
    for (auto& open : book.open_findings())
        if (open.id == id) findings.push_back(std::move(open.finding));
    for (const auto& f : findings) {
        if (report::finding_id(book, f, *stored) != id) continue;
        Why why;
        why.name = std::string(id);
        why.figures.push_back(f.text);
        if (!f.seen.empty()) why.figures.push_back("seen " + f.seen);
        if (!f.expected.empty()) why.figures.push_back("expected " + f.expected);
        if (!f.accepted.empty()) why.figures.push_back("taken on: " + f.accepted);
        if (const auto since = no_longer_over_since(book, {why.name, stored->id, stored->name, f}); !since.empty())
            why.figures.push_back("no longer over its limit since " + since);
        why.formulas.push_back(fmt::format("check {}: {}", f.check, sentence_of(f.check)));
        for (const auto& p : book.postings(stored->id))
            why.formulas.push_back(fmt::format("{} {}  {}  {}", tarebook::text_of(p.account.kind), p.account.code,
                                               p.lot.refrigerant, mass_text(p.mass, book.info().units)));
        add_event(*stored, why);
        if (const auto* k = std::get_if<kinds::Settle>(&stored->event.what)) add_event(book, k->target, why);
        for (const auto& s : book.resolutions(id))
            if (s.finding == id) add_event(book, s.by, why);
        // the event before it, of the cylinder that it is about: what the book expected came from there
        const auto steps = book.steps(f.subject);
        for (std::size_t i = 1; i < steps.size(); ++i)
            if (steps[i].event_id == stored->id)
                if (const auto before = book.event(steps[i - 1].event_id)) add_event(*before, why);
        return why;
    }
    return std::nullopt;
}

std::optional<Why> why_event(const Book& book, std::string_view name) {
    const auto stored = book.event_named(name);
    if (!stored) return std::nullopt;
    const auto appliance = appliance_of_event(stored->event);
    Why why;
    why.name = event_ref(book, *stored);
    if (appliance.empty() || !add_rate(book, why.name, appliance, why)) return std::nullopt;
    return why;
}

void add_section(Document& page, const char* title, std::vector<std::string> lines) {
    if (lines.empty()) return;
    page.gap().heading(title);
    for (auto& line : lines) page.paragraph(std::move(line), 2);
}

// The first figure is the answer, and stands beside the name.
Document why_document(const Why& why, const std::vector<std::string>& events) {
    Document page(why.name, why.figures.empty() ? "" : with_plain_words(why.figures.front()), ": ");
    std::vector<std::string> figures;
    for (std::size_t i = 1; i < why.figures.size(); ++i) figures.push_back(with_plain_words(why.figures[i]));
    add_section(page, "figures:", std::move(figures));
    add_section(page, "formula:", why.formulas);
    add_section(page, "clause:", why.clauses);
    add_section(page, "events:", events);
    return std::move(
        page.gap().paragraph("figures from the book; the clause, local codes and a licensed person decide"));
}

Error nothing_such(const Book& book, std::string_view id, Date on) {
    std::vector<std::string> ids;
    for (const auto& f : book.open_findings()) ids.push_back(f.id);
    for (const auto& item : open_clocks(book, on).items) ids.push_back(item.clock.id());
    return {ErrorKind::refused,
            "finding-unknown",
            "there is nothing of that name to explain",
            std::string(id),
            "an id that `tarebook list exceptions` or `tarebook due` shows, or the event of an addition",
            did_you_mean(id, ids, "tarebook list exceptions")};
}

}  // namespace
}  // namespace report

Result<Page> why_page(const Book& book, std::string_view finding, const PageOptions& options) {
    using namespace report;
    const auto moment = moment_in_zone(options.now, book.info().zone);
    const Date on = moment ? moment->date() : std::chrono::floor<std::chrono::days>(options.now);
    auto why = finding.starts_with("due/") ? why_clock(book, finding, on) : why_finding(book, finding);
    if (!why) why = why_event(book, finding);
    if (!why) return fail(nothing_such(book, finding, on));
    std::vector<std::string> events;
    BookNames names(book);
    for (const auto& stored : why->events) events.push_back(event_line(book, names, stored));
    if (options.format == Format::json) {
        return Page{page_of("why", {{"finding", why->name},
                                    {"figures", why->figures},
                                    {"formulas", why->formulas},
                                    {"rules", why->clauses},
                                    {"event_names", events}})
                        .page()};
    }
    if (options.format == Format::csv) {
        Csv csv({"finding", "part", "text"});
        for (const auto& [part, lines] : {std::pair{"figure", &why->figures}, std::pair{"formula", &why->formulas},
                                          std::pair{"rule", &why->clauses}, std::pair{"event", &events}})
            for (const auto& line : *lines) csv.row({why->name, part, line});
        return Page{csv.page()};
    }
    return Page{page_body(why_document(*why, events), book, options)};
}

}  // namespace tarebook
