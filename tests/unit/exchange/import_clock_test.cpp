// The quick clock against parse_moment, which asks the zone for each time.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "exchange/movements_clock.hpp"

using namespace tarebook;

namespace {

Result<RowTime> quick(LocalClock& clock, const std::string& day, std::string_view time) {
    const auto of_day = read_time_of_day(time);
    if (!of_day) return fail(of_day.error());
    return clock.at(parse_date(day).value(), *of_day);
}

}  // namespace

TEST_CASE("clock: every quarter of an hour of days on which clocks change is as parse_moment has it") {
    struct Days {
        const char* zone;
        std::vector<std::string> days;
    };
    // The US dates are those of 15 U.S.C. 260a (second Sunday of March, first Sunday of November); Lord Howe moves by
    // half an hour; Kathmandu never; Dublin's and Casablanca's offsets go the other way in the tz database.
    const Days table[] = {
        {"America/Chicago", {"2024-03-10", "2024-11-03", "2025-03-09", "2025-11-02", "2024-07-04"}},
        {"Australia/Lord_Howe", {"2024-04-07", "2024-10-06"}},
        {"Asia/Kathmandu", {"2024-04-07"}},
        {"Europe/Dublin", {"2024-03-31", "2024-10-27"}},
        {"Africa/Casablanca", {"2024-03-10", "2024-04-14"}},
        {"UTC", {"2024-03-10", "1960-01-01"}},
    };
    std::size_t refused = 0;
    for (const auto& row : table) {
        LocalClock clock(row.zone);
        for (const auto& day : row.days)
            for (int minute = 0; minute < 24 * 60; minute += 15) {
                const auto time = fmt::format("{:02}:{:02}", minute / 60, minute % 60);
                CAPTURE(row.zone + (" " + day + " ") + time);
                const auto slow = parse_moment(day + " " + time, row.zone, Instant());
                const auto fast = quick(clock, day, time);
                REQUIRE(slow.has_value() == fast.has_value());
                if (!slow) {
                    CHECK(slow.error().name == fast.error().name);
                    ++refused;
                    continue;
                }
                CHECK(fast->at == slow->at);
                CHECK(std::chrono::minutes(fast->offset_min) == slow->offset);
            }
    }
    CHECK(refused == 4 * 4 + 2 * 2 + 2 * 4 + 2 * 4);  // Chicago, Lord Howe, Dublin, Casablanca
}

TEST_CASE("clock: an offset settles the hour that came twice") {
    LocalClock clock("America/Chicago");
    CHECK(quick(clock, "2024-11-03", "01:30").error().name == "time-ambiguous");
    CHECK(instant_text(quick(clock, "2024-11-03", "01:30-05:00")->at) == "2024-11-03T06:30:00Z");
    CHECK(instant_text(quick(clock, "2024-11-03", "01:30-06:00")->at) == "2024-11-03T07:30:00Z");
    CHECK(quick(clock, "2024-11-03", "7:30Z")->offset_min == -360);
}

TEST_CASE("clock: times of day as people write them") {
    CHECK(read_time_of_day("14:30")->seconds == 52'200);
    CHECK(read_time_of_day("7:05")->seconds == 25'500);
    CHECK(read_time_of_day("07:05:09")->seconds == 25'509);
    CHECK(read_time_of_day("0:00")->seconds == 0);
    CHECK(read_time_of_day("23:59:59")->seconds == 86'399);
    for (const char* bad : {"", "7", "24:00", "7:5", "7:60", "7:05:60", "7:05:1", "7.05", "7:05 pm", "7:05pm", "-7:05",
                            "123:00", "7:05:00.5"})
        CHECK(read_time_of_day(bad).error().name == "time-format");
    LocalClock clock("UTC");
    CHECK(quick(clock, "2024-05-01", "7:05+99:00").error().name == "time-format");
}

TEST_CASE("clock: days are read as parse_date reads them") {
    DayReader days;
    CHECK(days.read("2024-02-29").value() == parse_date("2024-02-29").value());
    CHECK(days.read("2024-02-29").value() == parse_date("2024-02-29").value());
    CHECK(days.read("2023-02-29").error().name == "date-format");
    CHECK(days.read("").error().name == "date-format");
    CHECK(days.read("2024-02-28").value() == parse_date("2024-02-28").value());
}
