// What is due: every clock that is open, by its day.
#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "clock_cards.hpp"
#include "clock_summary.hpp"
#include "gathered.hpp"
#include "icalendar.hpp"
#include "shared_text.hpp"
#include "stock.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/units/nearest.hpp"

namespace tarebook {
namespace report {

std::string_view status_word(const Clock& clock) {
    const auto status = clock.rule ? clock.rule->status() : RuleStatus::to_confirm;
    return key_of(clock.also ? std::max(status, clock.also->status()) : status);
}
std::string clause_of(const Clock& clock) {
    return clock.rule ? clock.rule->rule->clause : "";
}

std::vector<ClockRow> clock_rows(const std::vector<DueItem>& items, Date on) {
    std::vector<ClockRow> out;
    for (const auto& item : items) out.push_back({item.clock, on, item.owner, item.count});
    return out;
}

const Columns<ClockRow>& clock_columns() {
    using C = Column<ClockRow>;
    const auto of = [](auto Clock::*which) { return [which](const ClockRow& r) { return r.clock.*which; }; };
    const auto late = [](const ClockRow& r) { return r.clock.open_on(r.on) && r.clock.late_on(r.on); };
    static const Columns<ClockRow> columns{
        {"clock", "", [](const ClockRow& r) { return r.clock.id(); }},
        {"subject", "", of(&Clock::subject)},
        {"what", "", [](const ClockRow& r) { return tarebook::text_of(r.clock.what); }},
        {"leak", "", of(&Clock::leak)},
        {"due_on", "", of(&Clock::due_on)},
        C("late", "", late).csv_as([late](const ClockRow& r) { return late(r) ? "yes" : "no"; }),
        {"rule", "", [](const ClockRow& r) { return clause_of(r.clock); }},
        {"status", "", [](const ClockRow& r) { return status_word(r.clock); }},
        {"owner", "", &ClockRow::owner},
        {"text", "", of(&Clock::text)},
        {"opened_by", "", of(&Clock::opened_by)},
        {"opened_on", "",
         [](const ClockRow& r) { return r.clock.opened_on == Date{} ? Field() : Field(r.clock.opened_on); }},
        C("closed_by", "", of(&Clock::closed_by)).no_csv(),
        C("closed_on", "", of(&Clock::closed_on)).no_csv(),
        C("rule_id", "",
          [](const ClockRow& r) {
              return r.clock.rule ? r.clock.rule->rule->id : std::string();
          }).no_csv(),
        {"statements_awaited", "", &ClockRow::count},
        {"days_late", "", [](const ClockRow& r) { return days_late(r.clock, r.on); }},
        {"kind_in_words", "", [](const ClockRow& r) { return words_of_clock(r.clock.what); }},
        {"next", "", [](const ClockRow& r) { return next_of_clock(r.clock); }}};
    return columns;
}

const Columns<const RulePack*>& pack_columns() {
    static const Columns<const RulePack*> columns{{"pack", "", &RulePack::id}, {"date", "", &RulePack::date}};
    return columns;
}

std::string clock_origin(const Clock& c) {
    std::string out;
    if (!c.opened_by.empty())
        out =
            fmt::format("opened by {}{}; ", c.opened_by, c.opened_on == Date{} ? "" : " on " + date_text(c.opened_on));
    if (c.closed_on) out += fmt::format("closed by {} on {}; ", c.closed_by, date_text(*c.closed_on));
    return out +
           (c.rule ? fmt::format("{}, {}", clause_of(c), tarebook::text_of(c.rule->status())) : "no rule of the packs");
}

std::string repair_text(const Clock& c, std::string_view besides, const std::vector<std::string>& sources, Date on) {
    std::string out =
        fmt::format("repair due by {} ({}, {}{})",
                    c.due_on ? date_text(*c.due_on)
                    : c.also ? "no day: it is suspended while the appliance is mothballed"
                             : "no day that the rule names",
                    clause_of(c), tarebook::text_of(c.rule ? c.rule->status() : RuleStatus::to_confirm), besides);
    if (std::find(sources.begin(), sources.end(), c.opened_by) == sources.end()) out += ", since " + c.opened_by;
    if (c.closed_on && !c.open_on(on))
        return out + fmt::format(", closed by {} on {}", c.closed_by, date_text(*c.closed_on));
    return out + (c.late_on(on) ? ": LATE" : "");
}

Document clocks_footing(const SpokenRules& spoken) {
    Document out;
    return std::move(out.paragraph("rules applied: " + spoken.text())
                         .paragraph("open in the book, and closed by nothing on record; not a statement that a rule is "
                                    "met: the clause, local codes and a licensed person decide"));
}

namespace {

std::string uid_of(const Book& book, const Clock& clock, std::string_view which = "") {
    return fmt::format("{}{}@{}", clock.id(), which, hex(book.info().id));
}

// Of the site that a clock is about: none for a cylinder.
struct SiteWords {
    std::string name, location;
};
SiteWords site_words(const Book& book, const std::string& subject) {
    const auto* site = book.entries().find(EntryKind::site, site_of(subject));
    if (!site || site->code() == subject) return {};
    const auto last = order_at(Instant::max());
    SiteWords out{site->text("name", last).value_or(""), {}};
    out.location = out.name;
    add_word(out.location, site->text("address", last).value_or(""));
    return out;
}

std::string stock_id(const StockLevel& level) {
    return "stock/" + level.code;
}

// Clocks, and below them stock under its level: of such a row the columns of a level have a value.
std::string csv_of(const DueList& list, const std::vector<StockLevel>& under, Date on, DisplayUnits units) {
    auto headings = clock_columns().csv_headings();
    const auto of_clock = headings;
    const auto of_level = level_columns().csv_headings();
    headings.insert(headings.end(), of_level.begin(), of_level.end());
    Csv out(headings);
    for (const auto& row : clock_rows(list.items, on)) {
        auto cells = clock_columns().csv_cells(row);
        cells.resize(headings.size());
        out.row(cells);
    }
    for (const auto& level : under) {
        std::vector<std::string> cells;
        for (const auto& heading : of_clock)
            cells.push_back(heading == "clock"     ? stock_id(level)
                            : heading == "subject" ? (level.place.empty() ? std::string("whole shop") : level.place)
                            : heading == "what"    ? std::string("stock")
                            : heading == "late"    ? std::string("no")
                            : heading == "text"    ? level_text(level, units)
                                                   : std::string());
        for (auto& cell : level_columns().csv_cells(level)) cells.push_back(std::move(cell));
        out.row(cells);
    }
    return out.page();
}

std::string calendar(const Book& book, const DueList& list, const std::vector<StockLevel>& under, Date on, Date until,
                     const PageOptions& options) {
    // what closes a clock, opens it again or moves its day is an event of the book
    Calendar out(options.now, book.event_count());
    const std::string_view mark = book.info().practice() ? "PRACTICE: " : "";
    for (const auto& item : list.items) {
        const auto& c = item.clock;
        const bool late = c.late_on(on);
        const auto site = site_words(book, c.subject);
        const auto what = fmt::format("{} {}{}{}", tarebook::text_of(c.what), c.subject,
                                      c.leak.empty() ? "" : " " + c.leak, site.name.empty() ? "" : ", " + site.name);
        const auto why =
            fmt::format("{}\n{}\nThe clause, local codes and a licensed person decide.", c.text, clock_origin(c));
        out.add({uid_of(book, c), fmt::format("{}{}{}", mark, late ? "LATE: " : "", what), why, c.due_on, false,
                 site.location, c.due_on && !late});
        // what is late stands in the past, where no calendar shows it: it is today's, too
        if (late && c.due_on)
            out.add({uid_of(book, c, "/late"), fmt::format("{}LATE since {}: {}", mark, date_text(*c.due_on), what),
                     why, on, false, site.location});
    }
    for (const auto& level : under)
        out.add({fmt::format("{}@{}", stock_id(level), hex(book.info().id)),
                 fmt::format("{}stock under its level: {}", mark, level_text(level, options.units)),
                 "the level that the shop has set: tarebook report stock",
                 {}});
    // What a calendar was given before is taken out of it again; where it was not, it takes no notice.
    for (const auto& item : list.closed) {
        const auto& c = item.clock;
        const auto what = fmt::format("{}closed: {} {}{}", mark, tarebook::text_of(c.what), c.subject,
                                      c.leak.empty() ? "" : " " + c.leak);
        for (const bool late : {false, true}) {
            if (late && !(c.due_on && *c.due_on < *c.closed_on)) continue;
            Calendar::Entry entry{uid_of(book, c, late ? "/late" : ""), what, clock_origin(c), c.due_on};
            entry.cancelled = true;
            out.add(entry);
        }
    }
    // a calendar has to have an entry
    if (list.items.empty() && list.closed.empty() && under.empty())
        out.add({fmt::format("due/nothing/{}@{}", date_text(until), hex(book.info().id)),
                 std::string(mark) + "nothing open on record until " + date_text(until),
                 "rules applied: " + list.spoken.text(),
                 {},
                 true});
    return out.page();
}

using PackCount = SpokenRules::Count;
const Columns<PackCount>& count_columns() {
    static const auto columns =
        Columns<PackCount>{}
            .with(pack_columns(), &PackCount::pack)
            .with({{"number_of_rules", "", &PackCount::rules}, {"number_to_confirm", "", &PackCount::to_confirm}});
    return columns;
}

using Levels = std::vector<StockLevel>;

std::string json_of(const Book& book, const DueList& list, const Levels& under, Date on, Date until) {
    return page_of("due", {{"on", on},
                           {"until", until},
                           {"number_of_events", book.event_count()},
                           {"number_late", std::count_if(list.items.begin(), list.items.end(),
                                                         [&](const DueItem& i) { return i.clock.late_on(on); })},
                           {"items", clock_columns().json(clock_rows(list.items, on))},
                           {"cylinders_without_mark", list.cylinders_without_mark},
                           {"stock_under", level_columns().json(under)},
                           {"rule_packs", count_columns().json(list.spoken.by_pack())}})
        .page();
}

// "3 LATE, oldest 162 days; 5 more due until 2026-09-06; 1 without a day"
std::string due_answer(const ClockSummary& clocks, Date until, std::size_t under) {
    const bool late = clocks.late.late > 0;
    auto out = late ? clocks.late.text() : std::string("nothing late by this book");
    if (clocks.on_a_day > 0 || !late)
        out += fmt::format("; {}{} due until {}", clocks.on_a_day, late ? " more" : "", date_text(until));
    if (clocks.without_day > 0) out += fmt::format("; {} without a day", clocks.without_day);
    if (under > 0) out += fmt::format("; {} of stock UNDER the shop's own level", under);
    return out;
}

Document due_document(const Book& book, const ClockSummary& clocks, const Levels& under, Date until, DisplayUnits units,
                      bool sheets) {
    const auto rows = clock_rows(clocks.first, clocks.on);
    Document page(fmt::format("Due, as of {}", date_text(clocks.on)), due_answer(clocks, until, under.size()), ": ");
    if (rows.size() > 1 && !sheets) page.gap().table(clocks_in_short(rows), "In short");
    if (!rows.empty()) page.gap().cards(clock_cards(rows));
    if (const auto more = clocks.count() - std::ssize(rows); more > 0)
        page.gap().paragraph(fmt::format("{} more, after these in order: tarebook due --format csv", more));
    if (!under.empty()) page.gap().heading("Stock under the level that the shop has set, see `tarebook report stock`:");
    for (const auto& level : under) page.bullet(level_text(level, units));
    if (clocks.cylinders_without_mark > 0)
        page.gap().paragraph(fmt::format("specification mark not on record: {}. When their tests are due is not known",
                                         counted(clocks.cylinders_without_mark, "cylinder")));
    for (const auto& country : clocks.countries_without_pack) page.gap().paragraph(no_pack_text(book.rules(), country));
    page.gap();
    if (!rows.empty()) page.paragraph("why one is due: tarebook why " + rows.front().clock.id());
    return std::move(page.add(clocks_footing(clocks.spoken)));
}

}  // namespace
}  // namespace report

Page due_page(const Book& book, const DueQuestion& question, const PageOptions& options) {
    using namespace report;
    const Date on = question.on.value_or(today_of(book, options.now));
    const Date until = on + std::chrono::days(question.within_days);
    // Stock is known as of now alone.
    const auto under = today_of(book, options.now) <= on ? levels_not_met(book) : std::vector<StockLevel>();
    Page page;
    const bool for_people = options.format == Format::text || options.format == Format::html;
    if (!question.calendar && (for_people || options.format == Format::xlsx)) {
        constexpr auto all = std::numeric_limits<std::size_t>::max() / 4;
        const auto clocks = options.gathered
                                ? options.gathered->clocks
                                : clock_summary(book, {on, until, for_people ? clocks_of_a_page : all, question.kept});
        page.has_exceptions = clocks.late.late > 0;
        page.body = page_body(due_document(book, clocks, under, until, options.units, !for_people), book, options);
        return page;
    }
    auto list = open_clocks(book, on, question.kept);
    std::erase_if(list.items, [&](const DueItem& item) { return item.clock.due_on && *item.clock.due_on > until; });
    page.has_exceptions =
        std::any_of(list.items.begin(), list.items.end(), [&](const DueItem& item) { return item.clock.late_on(on); });
    if (question.calendar)
        page.body = calendar(book, list, under, on, until, options);
    else if (options.format == Format::json)
        page.body = json_of(book, list, under, on, until);
    else
        page.body = csv_of(list, under, on, options.units);
    return page;
}

Result<void> clock_exists(const Book& book, std::string_view id, Instant now) {
    const Date on = report::today_of(book, now);
    const auto item = report::clock_named(book, id, on);
    if (item && !item->clock.closed_on) return {};
    std::vector<std::string> ids;
    for (const auto& open : report::open_clocks(book, on).items) ids.push_back(open.clock.id());
    return fail({ErrorKind::refused, "finding-unknown", "there is no such open clock", std::string(id),
                 "an id that due shows", did_you_mean(id, ids, "tarebook due")});
}

}  // namespace tarebook
