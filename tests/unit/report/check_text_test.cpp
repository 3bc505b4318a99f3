#include "report/check_text.hpp"

#include <doctest/doctest.h>

#include "report/clock_cards.hpp"
#include "tarebook/checks/checks.hpp"

using namespace tarebook;
using namespace tarebook::report;

namespace check_text_test {

TEST_CASE("words of checks: what a list shows has no code in it") {
    for (const auto& check : all_checks()) {
        const auto words = words_of_check(check.name);
        CAPTURE(check.name);
        CHECK(!words.empty());
        CHECK(words != check.name);
        CHECK(words.size() <= 45);  // beside the code of what it is about
    }
    CHECK(words_of_check("two-owners") == "gas of two owners in one cylinder");
    CHECK(words_of_check("a-check-to-come") == "a check to come");
}

TEST_CASE("words of limits and flags") {
    CHECK(with_plain_words("over its limit of 25.31 lb (80-percent-at-77F), twice: 80-percent-at-77F") ==
          "over its limit of 25.31 lb (80 % liquid at 77 F), twice: 80 % liquid at 77 F");
    CHECK(with_plain_words("nothing of that kind") == "nothing of that kind");
    CHECK(words_of_flag("reclaim-only") == "for reclaim only");
    CHECK(words_of_flag("acid") == "acid");
}

TEST_CASE("clocks: words, the day, and the command that closes each kind") {
    for (int kind = 0; kind <= static_cast<int>(ClockKind::annual_report); ++kind) {
        Clock clock;
        clock.what = static_cast<ClockKind>(kind);
        clock.subject = "OAK/RACK-A";
        clock.leak = "L-3";
        CAPTURE(kind);
        CHECK(!words_of_clock(clock.what).empty());
        CHECK(next_of_clock(clock).find("tarebook ") != std::string::npos);
    }
    Clock clock;
    clock.opened_on = Date(std::chrono::year(2026) / 1 / 1);
    clock.due_on = Date(std::chrono::year(2026) / 3 / 1);
    const auto on = [](unsigned day) { return Date(std::chrono::year(2026) / 3 / std::chrono::day(day)); };
    CHECK(!days_late(clock, on(1)));  // on its last day it is not late
    CHECK(days_late(clock, on(2)) == 1);
    std::vector<ClockRow> rows{{clock, on(11), {}}};
    CHECK(late_answer(rows) == "1 LATE, oldest 10 days");
    Clock other = clock;
    other.due_on = Date(std::chrono::year(2025) / 12 / 31);
    Clock no_day = clock;
    no_day.due_on = {};
    std::vector<ClockRow> mixed{{no_day, on(11), {}}, {clock, on(11), {}}, {other, on(11), {}}};
    CHECK(late_answer(mixed) == "2 LATE, oldest 70 days");
    const auto sorted = by_day(mixed);
    CHECK(sorted[0].clock.due_on == other.due_on);
    CHECK(!sorted[2].clock.due_on);
    clock.closed_on = on(5);
    CHECK(!days_late(clock, on(11)));
    CHECK(late_answer({}).empty());
}

}  // namespace check_text_test
