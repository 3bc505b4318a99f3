#include <doctest/doctest.h>

#include "tarebook/units/accuracy.hpp"

using namespace tarebook;

TEST_CASE("how far an instrument may be off is a difference, in the units of its dial") {
    CHECK(parse_pressure_accuracy("2psi")->in_psi() == doctest::Approx(2));
    CHECK(parse_pressure_accuracy("15 kPa")->in_kilopascals() == doctest::Approx(15));
    CHECK(parse_pressure_accuracy("0.1bar")->in_kilopascals() == doctest::Approx(10));
    CHECK(parse_temperature_accuracy("2F")->in_kelvin() == doctest::Approx(2 / 1.8));
    CHECK(parse_temperature_accuracy("1 C")->in_kelvin() == doctest::Approx(1));
    CHECK(parse_temperature_accuracy("1K")->in_kelvin() == doctest::Approx(1));
}

TEST_CASE("what is no accuracy is refused by name") {
    const struct {
        const char* typed;
        const char* pressure;
        const char* temperature;
    } rows[] = {{"", "accuracy-number", "accuracy-number"},      {"good", "accuracy-number", "accuracy-number"},
                {"-2psi", "accuracy-number", "accuracy-number"}, {"2", "accuracy-unit", "accuracy-unit"},
                {"2psig", "accuracy-unit", "accuracy-unit"},     {"51psi", "accuracy-range", "accuracy-unit"},
                {"19F", "accuracy-unit", "accuracy-range"}};
    for (const auto& row : rows) {
        CAPTURE(row.typed);
        REQUIRE_FALSE(parse_pressure_accuracy(row.typed).has_value());
        REQUIRE_FALSE(parse_temperature_accuracy(row.typed).has_value());
        CHECK(parse_pressure_accuracy(row.typed).error().name == row.pressure);
        CHECK(parse_temperature_accuracy(row.typed).error().name == row.temperature);
    }
    CHECK(parse_pressure_accuracy("50psi").has_value());
    CHECK(parse_pressure_accuracy("0psi").has_value());
    CHECK(parse_temperature_accuracy("18F").has_value());
}
