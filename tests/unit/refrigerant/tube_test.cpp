#include "tarebook/refrigerant/tube.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

TEST_CASE("a tube size is taken as the trade writes it") {
    for (const char* typed : {"1-3/8", "1 3/8", "1-3/8in", "1 3/8 in", "1-3/8\"", "11/8", "1-6/16"}) {
        CAPTURE(typed);
        const auto size = parse_tube_size(typed, TubeWall::hard);
        REQUIRE(size.has_value());
        CHECK((*size)->name == "1 3/8");
    }
    CHECK((*parse_tube_size("5/8", TubeWall::soft))->kind == TubeWall::soft);
    CHECK((*parse_tube_size("5/8", TubeWall::soft))->inside > (*parse_tube_size("5/8", TubeWall::hard))->inside);
}

TEST_CASE("a size that is not made is refused with the nearest ones") {
    const auto refused = parse_tube_size("9/16", TubeWall::hard);
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.error().name == "tube-size");
    CHECK(refused.error().next == "did you mean 1/2 or 5/8?");
    CHECK_FALSE(parse_tube_size("2 1/8", TubeWall::soft).has_value());  // coils end at 1 3/8
    for (const char* typed : {"", "5/", "/8", "5/0", "0.625", "5/8ft", "1 3", "x", "-5/8", "5//8"}) {
        CAPTURE(typed);
        const auto bad = parse_tube_size(typed, TubeWall::hard);
        REQUIRE_FALSE(bad.has_value());
        CHECK(bad.error().name == "tube-size");
    }
}

TEST_CASE("of two walls of one size in coil the thinner one is taken, which holds more") {
    const auto size = parse_tube_size("3/4", TubeWall::soft);
    REQUIRE(size.has_value());
    CHECK((*size)->wall.in_inches() == doctest::Approx(0.035));
}
