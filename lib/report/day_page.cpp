#include "tarebook/report/day_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "clock_cards.hpp"
#include "clock_summary.hpp"
#include "day_lines.hpp"
#include "document.hpp"
#include "due.hpp"
#include "fill.hpp"
#include "gathered.hpp"
#include "leak_rates.hpp"
#include "morning.hpp"
#include "no_longer_over.hpp"
#include "shared_text.hpp"
#include "stock.hpp"

namespace tarebook {
namespace report {
namespace {

std::string days_text(std::int64_t days) {
    return days == 0 ? "today" : counted(days, "day") + " ago";
}
std::string time_in(const Book& book, Instant at) {
    const auto moment = moment_in_zone(at, book.info().zone);
    return moment ? moment_text(*moment) : instant_text(at);
}
// "RC-01, RC-02 and 3 more"
std::string some_of(const std::vector<std::string>& codes) {
    constexpr std::size_t shown = 3;
    const auto first =
        std::vector(codes.begin(), codes.begin() + static_cast<std::ptrdiff_t>(std::min(shown, codes.size())));
    return joined(first) + (codes.size() > shown ? fmt::format(" and {} more", codes.size() - shown) : "");
}

void add_what_is_open(std::vector<DayLine>& out, const Book& book, const DayQuestion& q) {
    for (std::size_t i = 0; i < q.visits.size(); ++i) {
        const auto& v = q.visits[i];
        out.push_back({"visit",
                       fmt::format("{}, job {}{}, since {}", v.site, v.job, v.people.empty() ? "" : ", " + v.people,
                                   moment_text(v.opened)),
                       i == 0 ? "tarebook visit" : "tarebook visit switch " + v.job});
    }
    for (const auto& b : q.begun)
        out.push_back({"recovery", fmt::format("{} into {}, begun {}", b.circuit, b.cylinder, time_in(book, b.begun)),
                       fmt::format("tarebook recover finish {} --after W", b.cylinder)});
}

void add_clocks(std::vector<DayLine>& out, const ClockSummary& clocks) {
    if (const auto& oldest = clocks.oldest_late)
        out.push_back({"late",
                       fmt::format("{}; oldest by {}: {} {}", clocks.late.late, counted(clocks.late.oldest_days, "day"),
                                   words_of_clock(oldest->clock.what), oldest->clock.subject),
                       "tarebook due", true, clocks.late.text()});
    if (clocks.soon > 0)
        out.push_back({"due", fmt::format("{} within 7 days", clocks.soon), "tarebook due --within 7d"});
    if (const auto& first = clocks.first_repair)
        out.push_back({"repairs",
                       fmt::format("{} open; first {}{}", clocks.repairs, first->clock.subject,
                                   first->clock.due_on ? ", due " + date_text(*first->clock.due_on) : ""),
                       "tarebook report appliance " + first->clock.subject});
    if (const auto& sent = clocks.first_sent)
        out.push_back(
            {"statements",
             fmt::format("{} awaited; oldest since {}", clocks.statements_awaited, date_text(sent->clock.opened_on)),
             fmt::format("tarebook settle {} --refrigerant W --outcome reclaimed", sent->clock.opened_by)});
}

// Gas that was taken out for a repair and is not put back. What hoses keep, a twentieth at most, is not counted (common
// practice, no source); what is out for longer than the days looked at has a clock.
void add_put_backs(std::vector<DayLine>& out, const Book& book, const ClockSummary& clocks, DisplayUnits units) {
    const auto today = clocks.on;
    constexpr std::chrono::days looked_at{31};
    std::set<std::string, CodeOrder> appliances;
    for (const auto& flow : book.flows({}, today - looked_at, today))
        if (flow.kind == "recover") appliances.insert(appliance_of(flow.circuit));
    appliances.insert(clocks.not_put_back.begin(), clocks.not_put_back.end());
    std::vector<std::string> still_out;
    Mass mass;
    for (const auto& code : appliances) {
        Mass left;
        for (const auto& one :
             recent_leak_record(book, code, book.flows_of_whole_jobs(code, today - recent, today), today).taken_out)
            if (one.left.in_pounds() * 20 > one.mass.in_pounds()) left += one.left;
        if (left.is_zero()) continue;
        mass += left;
        still_out.push_back(code);
    }
    if (!still_out.empty())
        out.push_back({"still out", fmt::format("{} taken out of {}", mass_text(mass, units), some_of(still_out)),
                       "tarebook report appliance " + still_out.front()});
}

void add_stock(std::vector<DayLine>& out, const Book& book, DisplayUnits units) {
    const auto under = levels_not_met(book);
    if (under.empty()) return;
    const auto more = under.size() - 1;
    out.push_back({"stock", level_text(under.front(), units) + (more > 0 ? fmt::format("; {} more", more) : ""),
                   "tarebook report stock", true});
}

void add_cylinders(std::vector<DayLine>& out, const Book& book, const PageOptions& options) {
    FillLimitMemo limits;
    const ScalesInUse scales(book);
    std::vector<std::string> over, lost;
    book.each_cylinder([&](CylinderNow&& cylinder) {
        if (cylinder.state.gone) return;
        if (cylinder.state.lost) return lost.push_back(cylinder.code);
        const auto scale = scales.of(cylinder.code);
        const auto question = room_question_of(book.reference_data(), std::move(cylinder), scale);
        const auto fill = fill_weights_of(limits, question, options.units);
        if (fill && !fill->draw_down.is_zero()) over.push_back(question.code);
    });
    if (!over.empty())
        out.push_back({"OVER", some_of(over) + ": draw down before anything else", "tarebook room " + over.front(),
                       true, counted(std::ssize(over), "cylinder") + " OVER"});
    if (!lost.empty())
        out.push_back({"missing", some_of(lost), fmt::format("tarebook found {} --gross W", lost.front()), true,
                       fmt::format("{} missing", lost.size())});
}

// How many of each kind, the dangerous kinds first.
void add_exceptions(std::vector<DayLine>& out, const Book& book) {
    const auto open = by_danger(book, book.open_findings());
    if (open.empty()) return;
    constexpr std::size_t most = 4;
    std::vector<std::pair<std::string, std::size_t>> kinds;
    for (const auto& one : open) {
        const auto it =
            std::find_if(kinds.begin(), kinds.end(), [&](const auto& k) { return k.first == one.finding.check; });
        if (it == kinds.end())
            kinds.emplace_back(one.finding.check, 1);
        else
            ++it->second;
    }
    std::vector<std::string> counts;
    std::size_t others = 0;
    for (const auto& kind : kinds) {
        if (counts.size() < most)
            counts.push_back(fmt::format("{} {}", kind.second, kind.first));
        else
            others += kind.second;
    }
    if (others > 0) counts.push_back(fmt::format("{} of other kinds", others));
    out.push_back(
        {"exceptions", joined(counts), "tarebook list exceptions", true, counted(std::ssize(open), "exception")});
}

void add_other_books(std::vector<DayLine>& out, const Book& book, Date today, bool syncs) {
    const auto books = book.books();
    for (const auto& other : books) {
        if (other.own || other.desk || !other.trusted || other.withdrawn) continue;
        const auto last = other.last ? book.event_named(hex(other.last->digest)) : std::nullopt;
        const auto moment = last ? moment_in_zone(last->event.recorded, book.info().zone) : fail(Error{});
        out.push_back({"book",
                       moment ? fmt::format("{}: its last event here is of {}, {}", other.called,
                                            date_text(moment->date()), days_text((today - moment->date()).count()))
                              : other.called + ": nothing came from it yet",
                       syncs ? "tarebook sync" : "tarebook merge FILE"});
    }
    const auto sent = book.last_sent(syncs ? SentBy::sync : SentBy::bundle);
    const auto news = syncs ? book.news_since(sent) : Book::News();
    const auto unsent = syncs ? news.events : book.head().seq - sent;
    const auto elsewhere = std::count_if(books.begin(), books.end(), [](const auto& b) { return !b.own && !b.desk; });
    if (unsent <= 0 || (elsewhere == 0 && sent == 0)) return;
    const auto first = book.event_named(fmt::format("E{}", syncs ? news.first : sent + 1));
    out.push_back({"not sent",
                   fmt::format("{}{}", counted(unsent, "event"),
                               first ? ", first recorded " + time_in(book, first->event.recorded) : ""),
                   syncs ? "tarebook sync" : "tarebook send --to FILE"});
}

}  // namespace

const Columns<DayLine>& day_columns() {
    static const Columns<DayLine> columns{
        {"what", "what", &DayLine::what}, {"now", "now", &DayLine::now}, {"next", "go on with", &DayLine::next}};
    return columns;
}

std::vector<DayLine> day_lines(const Book& book, const DayQuestion& question, const PageOptions& options) {
    std::vector<DayLine> lines;
    const auto today = today_of(book, options.now);
    add_what_is_open(lines, book, question);
    add_cylinders(lines, book, options);
    add_exceptions(lines, book);
    const auto clocks =
        options.gathered ? options.gathered->clocks : clock_summary(book, {today, {}, 1, question.kept});
    add_clocks(lines, clocks);
    add_put_backs(lines, book, clocks, options.units);
    add_stock(lines, book, options.units);
    add_other_books(lines, book, today, question.syncs);
    return lines;
}

}  // namespace report

Page day_page(const Book& book, const DayQuestion& question, const PageOptions& options) {
    using namespace report;
    const auto today = today_of(book, options.now);
    const auto lines = day_lines(book, question, options);
    Page page;
    page.has_exceptions =
        std::any_of(lines.begin(), lines.end(), [](const DayLine& line) { return line.is_exception; });
    if (options.format == Format::json) {
        page.body =
            page_of("day", {{"company", book.info().company}, {"on", today}, {"items", day_columns().json(lines)}})
                .page();
    } else if (options.format == Format::csv) {
        page.body = day_columns().csv(lines);
    } else {
        Document out(fmt::format("{}, {}", book.info().company, time_in(book, options.now)), morning_answer(lines),
                     ": ");
        if (!lines.empty()) out.gap().table(day_columns().table(lines, options.units), "Today");
        out.gap().line("all commands: tarebook --help");
        page.body = page_body(out, book, options);
    }
    return page;
}

}  // namespace tarebook
