#include "tarebook/units/hours.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

TEST_CASE("hours: decimals, or hours and minutes, kept as whole minutes") {
    CHECK(parse_hours("2.5").value() == 150);
    CHECK(parse_hours("2.5h").value() == 150);
    CHECK(parse_hours("2:30").value() == 150);
    CHECK(parse_hours("0:05").value() == 5);
    CHECK(parse_hours("0.33").value() == 20);
    CHECK(parse_hours("1000").value() == 60000);
    for (const char* typed : {"", "0", "0:00", "-1", "2:5", "2:60", "2:300", "2.5:30", "2 h 30", "2h30", "1000.1",
                              "1000:01", "two", "1:30h", "0.001"}) {
        CAPTURE(typed);
        const auto read = parse_hours(typed);
        REQUIRE_FALSE(read);
        CHECK(read.error().name == "hours");
    }
}

TEST_CASE("hours: shown with as many decimals as they need, two at most") {
    CHECK(hours_text(150) == "2.5 h");
    CHECK(hours_text(120) == "2 h");
    CHECK(hours_text(20) == "0.33 h");
    CHECK(hours_text(65) == "1.08 h");
    CHECK(hours_text(605) == "10.08 h");
    CHECK(hours_text(600) == "10 h");
}
