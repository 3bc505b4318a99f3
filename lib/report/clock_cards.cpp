#include "clock_cards.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "clock_summary.hpp"
#include "shared_text.hpp"

namespace tarebook::report {
namespace {

std::string late_words(const ClockRow& r) {
    const auto days = days_late(r.clock, r.on);
    return days ? "LATE by " + counted(*days, "day") : std::string();
}
std::string day_words(const ClockRow& r) {
    return r.clock.due_on ? date_text(*r.clock.due_on) : "no day";
}
std::string subject_words(const ClockRow& r) {
    return r.clock.leak.empty() ? r.clock.subject : r.clock.subject + ", " + r.clock.leak;
}
std::string opened_words(const ClockRow& r) {
    if (r.clock.opened_by.empty()) return r.clock.opened_on == Date{} ? "" : date_text(r.clock.opened_on);
    return r.clock.opened_on == Date{} ? r.clock.opened_by
                                       : fmt::format("{}, {}", r.clock.opened_by, date_text(r.clock.opened_on));
}
std::string rule_words(const ClockRow& r) {
    return r.clock.rule ? fmt::format("{}, {}", clause_of(r.clock), tarebook::text_of(r.clock.rule->status()))
                        : "no rule of the packs";
}
std::string closed_words(const ClockRow& r) {
    return r.clock.closed_on ? fmt::format("{}, {}", r.clock.closed_by, date_text(*r.clock.closed_on)) : std::string();
}

const Columns<ClockRow>& card_columns() {
    static const Columns<ClockRow> columns{
        Column<ClockRow>("", "late", late_words).shown([](const ClockRow& r, DisplayUnits) {
            const auto days = days_late(r.clock, r.on);
            return days ? Cell(late_words(r), Number{static_cast<double>(*days), 0}) : no_cell();
        }),
        Column<ClockRow>("", "due", day_words).shown([](const ClockRow& r, DisplayUnits) {
            const auto& due = r.clock.due_on;
            return due ? Cell(day_words(r), WallTime{due->time_since_epoch()}) : no_cell(day_words(r));
        }),
        {"", "what", [](const ClockRow& r) { return words_of_clock(r.clock.what); }},
        {"", "about", subject_words},
        {"", "owner", &ClockRow::owner},
        {"", "asked for", [](const ClockRow& r) { return r.clock.text; }},
        {"", "opened", opened_words},
        {"", "closes", closed_words},
        {"", "rule", rule_words},
        {"", "next", [](const ClockRow& r) { return next_of_clock(r.clock); }},
        {"", "clock", [](const ClockRow& r) { return r.clock.id(); }}};
    return columns;
}

}  // namespace

std::string_view words_of_clock(ClockKind kind) {
    switch (kind) {
        case ClockKind::repair:
            return "repair of a leak";
        case ClockKind::initial_test:
            return "first test of a repair";
        case ClockKind::follow_up_test:
            return "follow-up test of a repair";
        case ClockKind::inspection:
            return "inspection for leaks";
        case ClockKind::leak_check:
            return "check for leaks";
        case ClockKind::plan:
            return "plan to retrofit or retire";
        case ClockKind::plan_work:
            return "work of the plan";
        case ClockKind::chronic_report:
            return "report of a chronic leak";
        case ClockKind::requalification:
            return "test of the cylinder";
        case ClockKind::heel:
            return "heel to be drawn";
        case ClockKind::statement:
            return "statement awaited";
        case ClockKind::put_back:
            return "gas not put back";
        case ClockKind::detection_audit:
            return "audit of the leak detection";
        case ClockKind::detection_system:
            return "leak detection system";
        case ClockKind::annual_report:
            return "annual report";
    }
    return {};
}

std::string next_of_clock(const Clock& c) {
    const auto done_outside = [&] { return fmt::format("once it is done: tarebook resolve {} --why TEXT", c.id()); };
    switch (c.what) {
        case ClockKind::repair:
            return c.leak.empty() ? fmt::format(
                                        "tarebook leak add {} --place TEXT for each leak, then tarebook repair "
                                        "LEAK --done TEXT",
                                        c.subject)
                                  : fmt::format("tarebook repair {} --done TEXT", c.leak);
        case ClockKind::initial_test:
            return fmt::format("tarebook leak-test {} --stage initial --result pass|fail", c.leak);
        case ClockKind::follow_up_test:
            return fmt::format("tarebook leak-test {} --stage follow-up --result pass|fail", c.leak);
        case ClockKind::inspection:
        case ClockKind::leak_check:
            return fmt::format("tarebook inspect {} --method TEXT --result no-leak|leak", c.subject);
        case ClockKind::plan:
            return fmt::format("tarebook plan {} --kind retrofit|retire", c.subject);
        case ClockKind::plan_work:
            return fmt::format("tarebook convert {}, or a recovery for its disposal", c.subject);
        case ClockKind::requalification:
            return fmt::format("tarebook requalify {} --tested MONTH", c.subject);
        case ClockKind::statement:
            return fmt::format("tarebook settle {}", c.opened_by.empty() ? c.subject : c.opened_by);
        case ClockKind::put_back:
            return fmt::format("tarebook reuse --circuit {} --reason put-back", c.subject);
        case ClockKind::detection_audit:
            return fmt::format("tarebook inspect {} --of detection-system --result pass|fail", c.subject);
        case ClockKind::detection_system:
            return fmt::format("tarebook appliance correct {} --detection-system yes", c.subject);
        case ClockKind::heel:
        case ClockKind::chronic_report:
        case ClockKind::annual_report:
            return done_outside();
    }
    return {};
}

std::optional<std::int64_t> days_late(const Clock& clock, Date on) {
    if (!clock.open_on(on) || !clock.late_on(on)) return std::nullopt;
    return (on - *clock.due_on).count();
}

Table clocks_in_short(const std::vector<ClockRow>& rows) {
    return late_answer(rows).empty() ? card_columns().table({"due", "what", "about"}, rows, DisplayUnits::lb)
                                     : card_columns().table({"late", "due", "what", "about"}, rows, DisplayUnits::lb);
}

std::vector<ClockRow> by_day(const std::vector<ClockRow>& rows) {
    std::vector<const ClockRow*> order;
    for (const auto& row : rows) order.push_back(&row);
    std::stable_sort(order.begin(), order.end(), [](const ClockRow* a, const ClockRow* b) {
        return a->clock.due_on.value_or(Date::max()) < b->clock.due_on.value_or(Date::max());
    });
    std::vector<ClockRow> out;
    for (const auto* row : order) out.push_back(*row);
    return out;
}

Cards clock_cards(const std::vector<ClockRow>& rows) {
    return {card_columns().table(
                {"late", "due", "what", "about", "owner", "asked for", "opened", "closes", "rule", "next", "clock"},
                rows, DisplayUnits::lb),
            "Clocks", 4};
}

std::string late_answer(const std::vector<ClockRow>& rows) {
    LateCount out;
    for (const auto& row : rows)
        if (const auto days = days_late(row.clock, row.on)) out += {1, *days};
    return out.text();
}

}  // namespace tarebook::report
