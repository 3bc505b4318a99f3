// What a folder of pages reads of a book in one walk is what each page would read for itself: leak records of all
// appliances, the years, and the clocks in short.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <deque>

#include "random_book.hpp"
#include "report/clock_summary.hpp"
#include "report/gathered.hpp"
#include "report/year_answer.hpp"
#include "report/year_reading.hpp"
#include "runs.hpp"
#include "support/book_room.hpp"

using namespace tarebook;
using namespace tarebook::property;
using namespace tarebook::report;

namespace gathered_test {
namespace {

std::string text_of(const LeakRecord& record) {
    std::string out;
    for (const auto& a : record.rated) {
        out += fmt::format("{} {} {} {} {} {}", a.event, date_text(a.addition.on), a.addition.job.value_or("-"),
                           a.addition.mass.count(), a.addition.leak, a.exceeded);
        for (const auto& source : a.addition.sources) out += " " + source;
        if (a.rate) out += "; " + formula_text(*a.rate);
        out += "\n";
    }
    for (const auto& t : record.taken_out)
        out += fmt::format("{} {} of {}, back by {}\n", t.source, t.left.count(), t.mass.count(), t.back_by);
    for (const auto& e : record.events) out += fmt::format("{} {}\n", e.source, date_text(e.on));
    return out;
}

std::string text_of(const std::vector<DueItem>& items) {
    std::string out;
    for (const auto& item : items) out += item.clock.id() + ": " + item.clock.text + "\n";
    return out;
}

int rated = 0, open_items = 0;

std::string records_differ(const Book& book, const YearWalk& walk, const LeakLog& log) {
    for (const auto& code : book.codes(EntryKind::appliance)) {
        const auto alone = leak_record(book, code, last_day_of_all, log);
        const auto together = leak_record(book, code, walk.equipment.of(code), log);
        rated += static_cast<int>(alone.rated.size());
        if (text_of(alone) != text_of(together))
            return fmt::format("{} alone:\n{}in the walk:\n{}", code, text_of(alone), text_of(together));
    }
    return {};
}

// Additions of a year, from what the appliances' pages keep and from the year by itself.
std::string years_differ(const Book& book, const YearWalk& walk, std::deque<YearReading>& years, Instant now) {
    const Gathered gathered{{}, LeakLog(book), &walk.equipment};
    const auto today = today_of(book, now);
    std::int64_t open = 0;
    for (const auto& code : book.codes(EntryKind::appliance)) open += gathered.open_at(book, code, today).count;
    if (open < 0) return "fewer than none are open";
    PageOptions options{Format::html, DisplayUnits::lb, now};
    for (auto& year : years) {
        options.gathered = nullptr;
        const auto alone = year.page(walk.equipment, gathered.log, options).body;
        options.gathered = &gathered;
        if (alone != year.page(walk.equipment, gathered.log, options).body) return "a year's page differs";
    }
    return {};
}

std::string summaries_differ(const Book& book, Date on, unsigned dice) {
    auto all = open_clocks(book, on);
    const auto until = on + std::chrono::days(dice % 90);
    std::erase_if(all.items, [&](const DueItem& item) { return item.clock.due_on && *item.clock.due_on > until; });
    std::int64_t late = 0;
    for (const auto& item : all.items) {
        late += item.clock.late_on(on) ? 1 : 0;
        ++open_items;
    }
    for (const std::size_t most : {std::size_t{1}, std::size_t{3}, std::size_t{1000}}) {
        const auto some = clock_summary(book, {on, until, most});
        auto first = all.items;
        if (first.size() > most) first.erase(first.begin() + static_cast<std::ptrdiff_t>(most), first.end());
        if (text_of(first) != text_of(some.first))
            return fmt::format("the first {} of all:\n{}of the summary:\n{}", most, text_of(first),
                               text_of(some.first));
        if (some.count() != std::ssize(all.items) || some.late.late != late) return "the summary counts others";
    }
    return {};
}

std::string one_walk_reads_the_same(const History& history, unsigned dice) {
    const test::BookRoom room;
    const auto book = book_of(room.book("book"), history);
    const auto now = day_after(history) + std::chrono::days(dice % 200);
    std::deque<YearReading> years;
    const auto seals = book.events_of_kind(kinds::Seal::name);
    for (const int year : {2025, 2026, 2027}) years.emplace_back(book, YearScope{}, std::chrono::year(year), seals);
    const YearWalk walk(book, years);
    const LeakLog log(book);
    if (auto out = records_differ(book, walk, log); !out.empty()) return out;
    if (auto out = years_differ(book, walk, years, now); !out.empty()) return out;
    return summaries_differ(book, today_of(book, now), dice);
}

}  // namespace

TEST_CASE("one walk over a book reads what each page reads for itself") {
    holds_for_random_histories("gathered", Moments::distinct, 80, one_walk_reads_the_same);
    MESSAGE("additions: ", rated, ", open clocks: ", open_items);
    if (usual_runs()) {
        CHECK(rated > 10);
        CHECK(open_items > 0);
    }
}

}  // namespace gathered_test
