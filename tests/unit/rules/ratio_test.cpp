#include <doctest/doctest.h>

#include <limits>
#include <stdexcept>

#include "tarebook/units/broken_promise.hpp"
#include "tarebook/units/ratio.hpp"

using namespace tarebook;

TEST_CASE("ratio: twenty per cent is not over twenty per cent, however it was reached") {
    const auto rate = Ratio::of(Mass::pounds(20), Mass::pounds(365)).scaled(365, 100);
    CHECK(rate == Ratio::of(Percent::whole(20)));
    CHECK_FALSE(reaches(rate, Comparison::over, Percent::whole(20)));
    CHECK(reaches(rate, Comparison::at_least, Percent::whole(20)));
    const auto more = Ratio::of(Mass::pounds(20) + Mass::from_count(1), Mass::pounds(365)).scaled(365, 100);
    CHECK(reaches(more, Comparison::over, Percent::whole(20)));
}

TEST_CASE("ratio: order is exact where a product of the two would not fit 128 bits") {
    constexpr auto huge = std::numeric_limits<std::int64_t>::max();
    const auto a = Ratio::of(Mass::from_count(huge), Mass::from_count(huge - 1)).scaled(huge - 2, huge - 3);
    const auto b = Ratio::of(Mass::from_count(huge), Mass::from_count(huge - 1)).scaled(huge - 3, huge - 4);
    CHECK(a < b);
    CHECK(b > a);
    CHECK(a == a);
}

TEST_CASE("ratio: a part or whole that makes no ratio is refused") {
    CHECK_THROWS_AS(Ratio::of(Mass::pounds(-1), Mass::pounds(1)), BrokenPromise);
    CHECK_THROWS_AS(Ratio::of(Mass::pounds(1), Mass()), BrokenPromise);
    CHECK_THROWS_AS((void)Ratio::of(Mass::pounds(1), Mass::pounds(1)).scaled(365, 0), BrokenPromise);
}

TEST_CASE("ratio: the part of a whole is rounded down to a count") {
    const auto third = Ratio::of(Mass::pounds(1), Mass::pounds(3));
    CHECK(third.part_of(Mass::from_count(10)) == Mass::from_count(3));
    CHECK_FALSE(third.divides(Mass::from_count(10)));
    CHECK(third.divides(Mass::from_count(9)));
}

TEST_CASE("percent: takes up to three decimals, and nothing else") {
    CHECK(Percent::parse("12.5") == Percent::thousandths(12'500));
    CHECK(Percent::parse("20") == Percent::whole(20));
    CHECK(Percent::thousandths(12'500).text() == "12.5");
    CHECK(Percent::whole(125).text() == "125");
    for (const auto* bad : {"", ".", "5.", ".5", "-1", "1.2345", "1e3", "20 ", "20%", "99999999999"}) {
        CAPTURE(bad);
        CHECK_FALSE(Percent::parse(bad));
    }
}

TEST_CASE("percent_text: a rate just over its threshold is never shown as the threshold") {
    const auto limit = Percent::whole(20);
    CHECK(percent_text(Ratio::of(Percent::thousandths(30'417)), limit) == "30.4 %");
    CHECK(percent_text(Ratio::of(Percent::thousandths(20'004)), limit) == "20.004 %");
    CHECK(percent_text(Ratio::of(Percent::thousandths(19'999)), limit) == "19.999 %");
    CHECK(percent_text(Ratio::of(limit), limit) == "20.0 %");
    CHECK(percent_text(Ratio::of(Percent::thousandths(20'004))) == "20.0 %");
}
