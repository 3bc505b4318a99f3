#include "tarebook/units/mass.hpp"
#include "tarebook/units/broken_promise.hpp"
#include "tarebook/units/refused.hpp"

#include <doctest/doctest.h>

#include <cstdint>
#include <limits>
#include <stdexcept>
#include <string>

using namespace tarebook;

namespace {

constexpr std::int64_t lb = Mass::counts_per_pound;
constexpr std::int64_t oz = Mass::counts_per_ounce;
constexpr std::int64_t g = Mass::counts_per_gram;
const Mass largest = Mass::from_count(std::numeric_limits<std::int64_t>::max());
const Mass smallest = Mass::from_count(std::numeric_limits<std::int64_t>::min());

struct Taken {
    const char* typed;
    ScaleReads reads;
    std::int64_t count;
    const char* shown;
};
struct RefusedText {
    const char* typed;
    ScaleReads reads;
    const char* name;
};

}  // namespace

TEST_CASE("a pound is 453.59237 g exactly, by definition (international yard and pound agreement, 1959)") {
    CHECK(lb * 100'000 == g * 45'359'237);
    CHECK(oz * 16 == lb);
    CHECK(parse_weight("453.5924g", ScaleReads::unknown)->mass.count() - lb == 24'000);  // 0.03 mg, no rounding away
    CHECK(parse_weight("0.4536kg", ScaleReads::unknown)->mass.count() == 4536 * g / 10);
}

TEST_CASE("0.001 lb, 0.01 oz and 0.1 g are whole counts") {
    CHECK(parse_weight("0.001lb", ScaleReads::unknown)->mass.count() * 1000 == lb);
    CHECK(parse_weight("0.01oz", ScaleReads::unknown)->mass.count() * 100 == oz);
    CHECK(parse_weight("0.1g", ScaleReads::unknown)->mass.count() * 10 == g);
}

TEST_CASE("every form that people type is taken, exactly, and its words are kept") {
    const Taken rows[] = {
        {"12.5lb", ScaleReads::unknown, lb * 25 / 2, "12.5lb"},
        {"12.5 lb", ScaleReads::unknown, lb * 25 / 2, "12.5 lb"},
        {"12.5 lbs", ScaleReads::unknown, lb * 25 / 2, "12.5 lbs"},
        {"12.5LB", ScaleReads::unknown, lb * 25 / 2, "12.5LB"},
        {"  12.5lb\t", ScaleReads::unknown, lb * 25 / 2, "12.5lb"},
        {"12 lb 8 oz", ScaleReads::unknown, lb * 25 / 2, "12 lb 8 oz"},
        {"12lb8oz", ScaleReads::unknown, lb * 25 / 2, "12lb8oz"},
        {"12lb 8.4oz", ScaleReads::unknown, lb * 12 + oz * 84 / 10, "12lb 8.4oz"},
        {"12 lb 0 oz", ScaleReads::unknown, lb * 12, "12 lb 0 oz"},
        {"12 lb 15.99 oz", ScaleReads::unknown, lb * 12 + oz * 1599 / 100, "12 lb 15.99 oz"},
        {"200oz", ScaleReads::unknown, oz * 200, "200oz"},
        {"5.67kg", ScaleReads::unknown, g * 5670, "5.67kg"},
        {"850g", ScaleReads::unknown, g * 850, "850g"},
        {"0lb", ScaleReads::unknown, 0, "0lb"},
        {".5lb", ScaleReads::unknown, lb / 2, ".5lb"},
        {"33.05", ScaleReads::lb, lb * 3305 / 100, "33.05lb"},
        {"14.99", ScaleReads::kg, g * 14'990, "14.99kg"},
        {"33.05kg", ScaleReads::lb, g * 33'050, "33.05kg"},
        {"12 lb 8 oz", ScaleReads::lb_oz, lb * 25 / 2, "12 lb 8 oz"},
        // a unit that is written out stands in the book in its short form
        {"12.5#", ScaleReads::unknown, lb * 25 / 2, "12.5lb"},
        {"12.5 #", ScaleReads::kg, lb * 25 / 2, "12.5 lb"},
        {"12.5 Pounds", ScaleReads::unknown, lb * 25 / 2, "12.5 lb"},
        {"12 pounds 8 ounces", ScaleReads::unknown, lb * 25 / 2, "12 lb 8 oz"},
        {"5.67 kilos", ScaleReads::unknown, g * 5670, "5.67 kg"},
    };
    for (const auto& row : rows) {
        CAPTURE(row.typed);
        const auto weight = parse_weight(row.typed, row.reads);
        REQUIRE(weight.has_value());
        CHECK(weight->mass.count() == row.count);
        CHECK(weight->typed == row.shown);
    }
}

TEST_CASE("what is no weight is refused under its own name") {
    const RefusedText rows[] = {
        {"", ScaleReads::lb, "weight-empty"},
        {"   ", ScaleReads::lb, "weight-empty"},
        {"12.8", ScaleReads::unknown, "weight-no-unit"},
        {"12.8", ScaleReads::lb_oz, "weight-no-unit"},
        {"-12.5lb", ScaleReads::unknown, "weight-sign"},
        {"+12.5lb", ScaleReads::unknown, "weight-sign"},
        {"12,5lb", ScaleReads::unknown, "weight-comma"},
        {"1,200lb", ScaleReads::unknown, "weight-comma"},
        {",5lb", ScaleReads::unknown, "weight-comma"},
        {"12lb 8,4oz", ScaleReads::unknown, "weight-comma"},
        {"1e3lb", ScaleReads::unknown, "weight-exponent"},
        {"1E+3", ScaleReads::lb, "weight-exponent"},
        {"1e-3kg", ScaleReads::unknown, "weight-exponent"},
        {"lb", ScaleReads::unknown, "weight-number"},
        {"about 12lb", ScaleReads::unknown, "weight-number"},
        {".lb", ScaleReads::unknown, "weight-number"},
        {"nan", ScaleReads::lb, "weight-number"},
        {"12st", ScaleReads::unknown, "weight-unit"},
        {"12t", ScaleReads::unknown, "weight-unit"},
        {"12lb 8", ScaleReads::unknown, "weight-unit"},
        {"12 lb 16 oz", ScaleReads::unknown, "weight-ounces"},
        {"12.5 lb 8 oz", ScaleReads::unknown, "weight-ounces"},
        {"12lb gross", ScaleReads::unknown, "weight-trailing"},
        {"12lb!", ScaleReads::unknown, "weight-trailing"},
        {"12.", ScaleReads::lb, "weight-trailing"},
        {"27.5lb wet", ScaleReads::unknown, "weight-trailing"},
        {"27lb wet", ScaleReads::unknown, "weight-trailing"},
        {"1.2.3lb", ScaleReads::unknown, "weight-trailing"},
        {"12kg 8oz", ScaleReads::unknown, "weight-trailing"},
        {"12lb 8kg", ScaleReads::unknown, "weight-trailing"},
        {"8oz 12lb", ScaleReads::unknown, "weight-trailing"},
        {"12lb 8oz 3oz", ScaleReads::unknown, "weight-trailing"},
        {"12.8/3", ScaleReads::lb, "weight-trailing"},
        {"0.0001lb", ScaleReads::unknown, "weight-step"},
        {"0.001oz", ScaleReads::unknown, "weight-step"},
        {"0.0000000001g", ScaleReads::unknown, "weight-step"},
        {"99999999lb", ScaleReads::unknown, "weight-range"},
        {"1234567890123456789lb", ScaleReads::unknown, "weight-range"},
    };
    for (const auto& row : rows) {
        CAPTURE(row.typed);
        const auto weight = parse_weight(row.typed, row.reads);
        REQUIRE_FALSE(weight.has_value());
        CHECK(weight.error().name == row.name);
        CHECK(weight.error().kind == ErrorKind::usage);
        CHECK_FALSE(weight.error().what.empty());
        CHECK_FALSE(weight.error().expected.empty());
    }
    CHECK_FALSE(parse_weight(std::string(65, '1') + "lb", ScaleReads::unknown).has_value());
}

TEST_CASE("a refused step names the finest one, and a refused bare number says what to write") {
    CHECK(parse_weight("0.0001lb", ScaleReads::unknown).error().next == "the finest step is 0.001 lb");
    CHECK(parse_weight("0.001oz", ScaleReads::unknown).error().next == "the finest step is 0.01 oz");
    CHECK(parse_weight("0.0000000000001kg", ScaleReads::unknown).error().next ==
          "the finest step is 0.1 g (0.0001 kg)");
    CHECK(parse_weight("12.8", ScaleReads::lb_oz).error().next.find("12.8lb") != std::string::npos);
    CHECK(parse_weight("12 lb 16 oz", ScaleReads::unknown).error().seen == "12 lb 16 oz");
}

TEST_CASE("I1: amounts typed in pounds, ounces and grams add up and balance to zero, to the last count") {
    MassTotal total;
    total += parse_weight("31.207lb", ScaleReads::unknown)->mass;
    total += parse_weight("12 lb 8.43 oz", ScaleReads::unknown)->mass;
    total += parse_weight("5.6789kg", ScaleReads::unknown)->mass;
    CHECK_FALSE(total.is_zero());
    total -= parse_weight("5678.9g", ScaleReads::unknown)->mass;
    total -= parse_weight("200.43oz", ScaleReads::unknown)->mass;
    total -= parse_weight("31.207lb", ScaleReads::unknown)->mass;
    CHECK(total.is_zero());
    CHECK(total.value().is_zero());
}

TEST_CASE("overflow is an error, never a wrap") {
    const Mass one = Mass::from_count(1);
    CHECK_THROWS_AS(static_cast<void>(largest + one), Refused);
    CHECK_THROWS_AS(static_cast<void>(smallest - one), Refused);
    CHECK_THROWS_AS(static_cast<void>(-smallest), Refused);
    CHECK_THROWS_AS(static_cast<void>(smallest.magnitude()), Refused);
    CHECK_THROWS_AS(static_cast<void>(Mass::pounds(26'000'000)), Refused);
    CHECK_THROWS_AS(static_cast<void>(Mass::thousandths_of_a_pound(26'000'000'000)), Refused);
    CHECK_THROWS_AS(static_cast<void>(Mass::from_kilograms(1.2e7)), Refused);
    CHECK_THROWS_AS(static_cast<void>(Mass::from_kilograms(std::numeric_limits<double>::quiet_NaN())), Refused);
    CHECK_THROWS_AS(static_cast<void>(scaled(largest, 3, 2)), Refused);
    CHECK_THROWS_AS(static_cast<void>(smallest.rounded_down_to(Mass::pounds(1))), Refused);
    CHECK((largest + Mass()) == largest);
    CHECK(scaled(largest, 3, 3) == largest);  // the product needs more than 64 bits, the result does not
    CHECK(Mass::pounds(25'000'000).in_pounds() == 25'000'000.0);
}

TEST_CASE("a total is wider than a mass: it may pass the limit on the way, not at the end") {
    MassTotal total;
    for (int i = 0; i < 1000; ++i) total += largest;
    CHECK_THROWS_AS(static_cast<void>(total.value()), Refused);
    for (int i = 0; i < 999; ++i) total -= largest;
    CHECK(total.value() == largest);
}

TEST_CASE("rounding down goes toward minus infinity, so that room is never overstated") {
    const Mass step = Mass::thousandths_of_a_pound(50);
    CHECK(Mass::thousandths_of_a_pound(12'074).rounded_down_to(step) == Mass::thousandths_of_a_pound(12'050));
    CHECK(Mass::thousandths_of_a_pound(12'050).rounded_down_to(step) == Mass::thousandths_of_a_pound(12'050));
    CHECK(Mass::thousandths_of_a_pound(-1).rounded_down_to(step) == Mass::thousandths_of_a_pound(-50));
    CHECK(Mass::thousandths_of_a_pound(-50).rounded_down_to(step) == Mass::thousandths_of_a_pound(-50));
    CHECK_THROWS_AS(static_cast<void>(Mass::pounds(1).rounded_down_to(Mass())), BrokenPromise);
    CHECK_THROWS_AS(static_cast<void>(Mass::pounds(1).rounded_down_to(Mass::pounds(-1))), BrokenPromise);
}

TEST_CASE("a computed mass is rounded to the nearest count") {
    CHECK(Mass::from_kilograms(0.45359237).count() == lb);
    CHECK(Mass::from_kilograms(-1).count() == -1000 * g);
    CHECK(scaled(Mass::from_count(100), 1, 3).count() == 33);
    CHECK(scaled(Mass::from_count(-100), 1, 3).count() == -33);
}

TEST_CASE("pounds are printed from the exact count, with as many digits as they need") {
    CHECK(pounds_text(Mass::thousandths_of_a_pound(33'050)) == "33.05");
    CHECK(pounds_text(Mass::thousandths_of_a_pound(33'000)) == "33.00");
    CHECK(pounds_text(Mass::thousandths_of_a_pound(33'057)) == "33.057");
    CHECK(pounds_text(Mass::pounds(33), 0) == "33");
    CHECK(pounds_text(Mass::thousandths_of_a_pound(-7'440)) == "-7.44");
    CHECK(pounds_text(Mass::from_count(-1)) == "0.00");  // never "-0.00"
    CHECK(pounds_text(Mass::from_count(oz)) == "0.0625");
    CHECK(pounds_text(Mass::from_count(g * 1000)) == "2.204623");
    CHECK(kilograms_text(Mass::from_count(g * 14'990)) == "14.99");
    CHECK(kilograms_text(Mass::from_count(lb)) == "0.453592");
    CHECK(pounds_text(largest) == "25417568.302722");
    CHECK(pounds_text(smallest) == "-25417568.302722");
}

TEST_CASE("pages print what a scale gave to thousandths, all else to hundredths, in the units of the shop") {
    CHECK(mass_text(Mass::thousandths_of_a_pound(33'050), DisplayUnits::lb) == "33.05 lb");
    CHECK(mass_text(Mass::from_count(oz), DisplayUnits::lb) == "0.06 lb");
    CHECK(mass_text(Mass::from_count(-oz), DisplayUnits::lb) == "-0.06 lb");
    CHECK(mass_text(Mass::from_count(-1), DisplayUnits::lb) == "0.00 lb");
    CHECK(mass_text(Mass::from_count(lb), DisplayUnits::kg) == "0.45 kg");
    CHECK(mass_text(Mass(), DisplayUnits::kg) == "0.00 kg");
}
