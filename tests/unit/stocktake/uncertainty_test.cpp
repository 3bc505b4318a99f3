// What two weighings may be off, against sums by hand after JCGM 100 (GUM), 4.3.7 and 5.1.2: rectangles of half-width a
// have the standard uncertainty a / sqrt(3), and parts add as squares (from memory).
#include <doctest/doctest.h>

#include <cmath>

#include "counted.hpp"
#include "stocktake/offset.hpp"

using namespace counted;

TEST_CASE("two weighings on one scale: twice display and zero, and half of what the scale may be off") {
    const auto c = cylinder("43.25lb", "43.25lb");
    // 43.25 lb are 865 divisions of 0.05 lb: class III, two of them; 0.025^2/3 + 0.05^2/3 each, 0.05^2/3 shared
    const double by_hand = std::sqrt(2 * (0.025 * 0.025 / 3 + 0.05 * 0.05 / 3) + 0.05 * 0.05 / 3);
    CHECK(stocktake::uncertainty_of(*c.reading, *c.expected).standard_lb == doctest::Approx(by_hand));
}

TEST_CASE("two scales: each may be off by its own tolerance") {
    const auto c = cylinder("43.25lb", "43.25lb", "S2", "S1");
    const double by_hand = std::sqrt(2 * (0.025 * 0.025 / 3 + 0.05 * 0.05 / 3) + 2 * (0.1 * 0.1 / 3));
    CHECK(stocktake::uncertainty_of(*c.reading, *c.expected).standard_lb == doctest::Approx(by_hand));
    // a scale that is not on record is like no other, not even like itself
    const auto unnamed = cylinder("43.25lb", "43.25lb", "", "");
    CHECK(stocktake::uncertainty_of(*unnamed.reading, *unnamed.expected).standard_lb == doctest::Approx(by_hand));
}

TEST_CASE("an accuracy on record stands in place of the class") {
    auto c = cylinder("43.25lb", "43.25lb", "S2", "S1");
    c.reading->accuracy = parse_scale_accuracy("0.5%").value();
    CHECK(stocktake::tolerance_lb(*c.reading) == doctest::Approx(0.21625));
    CHECK(stocktake::tolerance_lb(*c.expected->weighed) == doctest::Approx(0.1));
}

TEST_CASE("a stamped weight may be off by what stamps are off, and a net weight in between adds its two readings") {
    auto c = cylinder("43.25lb", "43.25lb");
    const double weighed = stocktake::uncertainty_of(*c.reading, *c.expected).standard_lb;
    c.expected->moved_since.push_back(weighing("5.00lb", "S2"));
    const double moved = stocktake::uncertainty_of(*c.reading, *c.expected).standard_lb;
    // 5 lb are 100 divisions: one of them
    const double both = 2 * (0.025 * 0.025 / 3 + 0.05 * 0.05 / 3) + 0.05 * 0.05 / 3;
    CHECK(moved == doctest::Approx(std::sqrt(weighed * weighed + both)));
    c.expected->weighed.reset();
    c.expected->stated_within = Mass::thousandths_of_a_pound(500);
    CHECK(stocktake::uncertainty_of(*c.reading, *c.expected).standard_lb > 0.5 / std::sqrt(3.0));
}

TEST_CASE("class III in service: one, two, three and five divisions (NIST Handbook 44 2.20 Table 6, from memory)") {
    const Mass d = Mass::thousandths_of_a_pound(50);
    const auto divisions = [&](std::int64_t load) {
        return class_iii_tolerance(scaled(d, load, 1), d).count() / d.count();
    };
    CHECK(divisions(0) == 1);
    CHECK(divisions(500) == 1);
    CHECK(divisions(501) == 2);
    CHECK(divisions(2000) == 2);
    CHECK(divisions(2001) == 3);
    CHECK(divisions(4000) == 3);
    CHECK(divisions(4001) == 5);
}

TEST_CASE("deviates and their probabilities, against a table of the normal distribution") {
    // Abramowitz and Stegun, Table 26.2 and 26.5, two-sided, from memory
    CHECK(stocktake::deviate_passed_with(0.05) == doctest::Approx(1.95996).epsilon(1e-5));
    CHECK(stocktake::deviate_passed_with(0.01) == doctest::Approx(2.57583).epsilon(1e-5));
    CHECK(stocktake::deviate_passed_with(0.001) == doctest::Approx(3.29053).epsilon(1e-5));
    CHECK(stocktake::probability_of_passing(-1.95996) == doctest::Approx(0.05).epsilon(1e-4));
    // what the header states for 200 cylinders
    CHECK(stocktake::deviate_passed_with(0.005 / 200) == doctest::Approx(4.2).epsilon(0.01));
}
