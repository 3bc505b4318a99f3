// Moments as people type them. The days on which the clocks of America/Chicago change in 2026 (8 March 08:00 UTC, 1
// November 07:00 UTC) are from the tz database, as `zdump -v America/Chicago` prints them.
#include <doctest/doctest.h>

#include "tarebook/event/moment.hpp"

using namespace tarebook;

namespace {

constexpr const char* chicago = "America/Chicago";
const Instant now = instant_from_text("2026-11-25T20:30:00Z").value();

Moment taken(const std::string& text, const std::string& zone = chicago) {
    const auto m = parse_moment(text, zone, now);
    REQUIRE_MESSAGE(m.has_value(), text);
    return *m;
}
std::string refused(const std::string& text, const std::string& zone = chicago) {
    const auto m = parse_moment(text, zone, now);
    if (m) return "taken as " + moment_iso(*m);
    CHECK(m.error().kind == ErrorKind::usage);
    CHECK_FALSE(m.error().expected.empty());
    return m.error().name;
}

}  // namespace

TEST_CASE("a local time is taken on the clock of its zone, in winter and in summer") {
    CHECK(moment_iso(taken("2026-11-25 14:30")) == "2026-11-25T14:30:00-06:00");
    CHECK(instant_text(taken("2026-11-25 14:30").at) == "2026-11-25T20:30:00Z");
    CHECK(instant_text(taken("2026-07-04T09:15:30").at) == "2026-07-04T14:15:30Z");
    CHECK(taken("2026-07-04 09:15").offset == std::chrono::minutes(-300));
    CHECK(taken("2026-07-04 09:15").zone == chicago);
    CHECK(instant_text(taken("2026-11-25 14:30", "Asia/Kolkata").at) == "2026-11-25T09:00:00Z");
    CHECK(instant_text(taken("2026-11-25 14:30", "UTC").at) == "2026-11-25T14:30:00Z");
    CHECK(taken("2026-11-25 14:30", "").zone == "UTC");
}

TEST_CASE("a bare time of day is today, where the person is") {
    CHECK(moment_text(taken("06:05")) == "2026-11-25 06:05");
    // 20:30 UTC is already the next morning in Auckland
    CHECK(moment_text(taken("06:05", "Pacific/Auckland")) == "2026-11-26 06:05");
}

TEST_CASE("today and yesterday are days where the person is; other words and orders of a date are refused") {
    CHECK(moment_iso(taken("today 09:00")) == "2026-11-25T09:00:00-06:00");
    CHECK(moment_iso(taken("yesterday 16:00")) == "2026-11-24T16:00:00-06:00");
    CHECK(moment_iso(taken("yesterday 16:00", "Asia/Kolkata")) == "2026-11-25T16:00:00+05:30");  // it is the 26th there
    for (const char* text : {"yesterday", "today", "tomorrow 09:00", "11/27/2026 08:00", "27.11.2026 08:00",
                             "Yesterday 16:00", "yesterday  16:00"}) {
        CAPTURE(text);
        CHECK(refused(text) == "time-format");
    }
}

TEST_CASE("a time of day is read by the clock of twelve hours and by that of twenty-four") {
    for (const auto& [text, at] : {std::pair("4pm", "2026-11-25 16:00"),
                                   {"4 PM", "2026-11-25 16:00"},
                                   {"4:05pm", "2026-11-25 16:05"},
                                   {"12am", "2026-11-25 00:00"},
                                   {"12:30 am", "2026-11-25 00:30"},
                                   {"12pm", "2026-11-25 12:00"},
                                   {"16:00", "2026-11-25 16:00"},
                                   {"9:05", "2026-11-25 09:05"},
                                   {"today 4pm", "2026-11-25 16:00"},
                                   {"yesterday 4pm", "2026-11-24 16:00"},
                                   {"2026-11-20 4:15pm", "2026-11-20 16:15"}}) {
        const auto seen = std::string(text);
        CAPTURE(seen);
        CHECK(moment_text(taken(text)) == at);
    }
    for (const char* text : {"0pm", "13pm", "16:00pm", "4p", "4", "4:5pm", "4pm sharp", "pm", "4xm", "24:00"}) {
        CAPTURE(text);
        CHECK(refused(text) == "time-format");
    }
}

TEST_CASE("a local time that came twice is refused with both offsets, and taken with one of them") {
    const auto twice = parse_moment("2026-11-01 01:30", chicago, now);
    REQUIRE_FALSE(twice);
    CHECK(twice.error().name == "time-ambiguous");
    CHECK(twice.error().seen == "2026-11-01 01:30");
    CHECK(twice.error().expected.find("2026-11-01 01:30-05:00 (first)") != std::string::npos);
    CHECK(twice.error().expected.find("2026-11-01 01:30-06:00 (second)") != std::string::npos);
    CHECK(instant_text(taken("2026-11-01 01:30-05:00").at) == "2026-11-01T06:30:00Z");
    CHECK(instant_text(taken("2026-11-01 01:30-06:00").at) == "2026-11-01T07:30:00Z");
    CHECK(moment_iso(taken("2026-11-01 01:30-05:00")) == "2026-11-01T01:30:00-05:00");
    CHECK(refused("2026-11-01 01:00") == "time-ambiguous");
    CHECK(refused("2026-11-01 01:59:59") == "time-ambiguous");
    CHECK(instant_text(taken("2026-11-01 00:59:59").at) == "2026-11-01T05:59:59Z");
    CHECK(instant_text(taken("2026-11-01 02:00").at) == "2026-11-01T08:00:00Z");
}

TEST_CASE("a local time that did not exist is refused") {
    CHECK(refused("2026-03-08 02:00") == "time-nonexistent");
    CHECK(refused("2026-03-08 02:30") == "time-nonexistent");
    CHECK(refused("2026-03-08 02:59:59") == "time-nonexistent");
    CHECK(instant_text(taken("2026-03-08 01:59:59").at) == "2026-03-08T07:59:59Z");
    CHECK(instant_text(taken("2026-03-08 03:00").at) == "2026-03-08T08:00:00Z");
    // the same clock time exists where the clocks do not change
    CHECK(instant_text(taken("2026-03-08 02:30", "America/Phoenix").at) == "2026-03-08T09:30:00Z");
}

TEST_CASE("an offset or Z says the instant; the zone's clock says the local day and year") {
    CHECK(instant_text(taken("2026-11-25 14:30-06:00").at) == "2026-11-25T20:30:00Z");
    CHECK(instant_text(taken("2026-11-25T14:30:05+0530").at) == "2026-11-25T09:00:05Z");
    CHECK(instant_text(taken("2026-11-25T14:30Z").at) == "2026-11-25T14:30:00Z");
    CHECK(moment_iso(taken("2026-11-25T14:30Z")) == "2026-11-25T08:30:00-06:00");
    // One instant, three ways to type it, one local day: in Chicago it is still the old year.
    for (const std::string text : {"2027-01-01T03:00Z", "2027-01-01T03:00+00:00", "2026-12-31 21:00"}) {
        CAPTURE(text);
        CHECK(date_text(taken(text).date()) == "2026-12-31");
        CHECK(taken(text) == taken("2026-12-31 21:00"));
    }
    // Without a zone the typed offset is all that is known of the person's clock.
    CHECK(moment_iso(taken("2026-11-25 14:30-06:00", "")) == "2026-11-25T14:30:00-06:00");
    CHECK(date_text(taken("2026-12-31 21:00-06:00", "").date()) == "2026-12-31");
}

TEST_CASE("an unknown zone is refused, however the time is typed") {
    CHECK(refused("2026-11-25 14:30", "America/Springfield") == "time-zone");
    CHECK(refused("14:30", "America/Springfield") == "time-zone");
    CHECK(refused("2026-11-25 14:30Z", "America/Springfield") == "time-zone");
    CHECK(refused("2026-11-25 14:30-06:00", "America/Springfield") == "time-zone");
    const auto none = moment_in_zone(now, "America/Springfield");
    REQUIRE_FALSE(none);
    CHECK(none.error().name == "time-zone");
    CHECK(none.error().seen == "America/Springfield");
}

TEST_CASE("what is no time is refused beside what nearly looks the same and is one") {
    for (const std::string bad : {"",
                                  "now",
                                  "2026-11-25",
                                  "2026-11-25 ",
                                  "1900-01-01 00:30",  // a spreadsheet's empty date
                                  "9999-12-31 23:00",
                                  "2026-11-25 24:00",
                                  "2026-11-25 14:60",
                                  "2026-11-25 14:30:60",
                                  "2026-11-25 1:3",
                                  "2026-11-25 14:3",
                                  "2026-11-25 14.30",
                                  "2026-11-25 14:30 PM",
                                  "2026-11-25 14:30 ",
                                  " 2026-11-25 14:30",
                                  "2026-11-25 14:30-6",
                                  "2026-11-25 14:30-06:00x",
                                  "2026-11-25 14:30-06:60",
                                  "2026-11-25 14:30+15:00",
                                  "2026-02-29 10:00",
                                  "2026-02-30 10:00",
                                  "2026-13-01 10:00",
                                  "2026-00-10 10:00",
                                  "2026-04-31 10:00",
                                  "1026-11-25 14:30",
                                  "11/25/2026 14:30",
                                  "26-11-25 14:30"}) {
        CAPTURE(bad);
        CHECK(refused(bad) == "time-format");
    }
    for (const std::string good : {"2026-11-25 00:00", "2026-11-25 23:59:59", "2028-02-29 10:00", "2026-04-30 10:00",
                                   "2026-11-25T14:30+14:00"}) {
        CAPTURE(good);
        CHECK(parse_moment(good, chicago, now).has_value());
    }
}

TEST_CASE("dates and months are taken in one form, and only where the calendar has them") {
    CHECK(date_text(parse_date("2026-11-25").value()) == "2026-11-25");
    CHECK(date_text(parse_date("2028-02-29").value()) == "2028-02-29");
    for (const std::string bad : {"2026-02-29", "2026-02-30", "2026-1-5", "2026-11-25 ", "2026-11-31", "2026-11",
                                  "25.11.2026", "", "2026-11-2x"}) {
        CAPTURE(bad);
        const auto day = parse_date(bad);
        REQUIRE_FALSE(day);
        CHECK(day.error().name == "date-format");
        CHECK(day.error().seen == bad);
    }
    CHECK(parse_month("2024-06").value() == std::chrono::year(2024) / std::chrono::June);
    for (const std::string bad : {"2024-13", "2024-00", "2024-6", "06-2024", "2024-06-01", "1824-06", ""}) {
        CAPTURE(bad);
        const auto month = parse_month(bad);
        REQUIRE_FALSE(month);
        CHECK(month.error().name == "month-format");
    }
}

TEST_CASE("an instant is read back only as it was written") {
    for (const std::string text : {"2026-11-25T20:30:00Z", "1999-12-31T23:59:59Z", "2028-02-29T00:00:00Z"})
        CHECK(instant_text(instant_from_text(text).value()) == text);
    for (const std::string bad :
         {"2026-11-25 20:30:00Z", "2026-11-25T20:30Z", "2026-11-25T20:30:00", "2026-02-30T20:30:00Z",
          "2026-11-25T24:00:00Z", "2026-11-25T20:30:00z", "2026-11-25T20:30:0xZ"}) {
        CAPTURE(bad);
        CHECK_FALSE(instant_from_text(bad));
    }
}

TEST_CASE("a time without its day is told from a day") {
    for (const char* text : {"4pm", "14:30", "9:05", "12 AM"}) CHECK_MESSAGE(is_time_alone(text), text);
    for (const char* text : {"2026-11-25 14:30", "today 4pm", "11/27/2026 08:00", "4", "", "pm"})
        CHECK_FALSE_MESSAGE(is_time_alone(text), text);
}
