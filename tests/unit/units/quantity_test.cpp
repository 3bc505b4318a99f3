#include "tarebook/units/quantity.hpp"

#include <doctest/doctest.h>

using namespace tarebook;
using doctest::Approx;

TEST_CASE("temperatures are taken with their unit, and scales agree at the fixed points") {
    CHECK(parse_temperature("70F")->in_celsius() == Approx(21.1111).epsilon(1e-5));
    CHECK(parse_temperature("21C")->in_celsius() == 21.0);
    CHECK(parse_temperature("21 c")->in_celsius() == 21.0);
    CHECK(parse_temperature("-40 F")->in_celsius() == Approx(-40.0));
    CHECK(parse_temperature("131F")->in_celsius() == Approx(55.0));
    CHECK(Temperature::celsius(0).in_kelvin() == Approx(273.15));
    CHECK(Temperature::celsius(100).in_fahrenheit() == Approx(212.0));
    CHECK(TemperatureDifference::fahrenheit(18).in_kelvin() == Approx(10.0));
}

TEST_CASE("what is no temperature is refused under its own name") {
    struct Row {
        const char* typed;
        const char* name;
    };
    const Row rows[] = {{"", "temperature-number"},        {"warm", "temperature-number"},
                        {"70F now", "temperature-number"}, {"70,5F", "temperature-number"},
                        {"70", "temperature-no-unit"},     {"70K", "temperature-unit"},
                        {"-500F", "temperature-range"},    {"-273.15C", "temperature-range"},
                        {"1001C", "temperature-range"},    {"--5C", "temperature-number"}};
    for (const auto& row : rows) {
        CAPTURE(row.typed);
        const auto t = parse_temperature(row.typed);
        REQUIRE_FALSE(t.has_value());
        CHECK(t.error().name == row.name);
    }
    CHECK(parse_temperature("70").error().next == "write 70F or 70C");
}

TEST_CASE("pressures are taken as gauge or absolute, by their unit (factors: NIST SP 811 appendix B)") {
    struct Row {
        const char* typed;
        bool is_gauge;
        double absolute_kpa;
    };
    const Row rows[] = {{"0psig", true, 101.325},
                        {"36psig", true, 101.325 + 36 * 6.894757},
                        {"14.6959psia", false, 101.325},
                        {"10inHg", true, 101.325 - 33.86389},
                        {"29.92inhg", true, 101.325 - 29.92 * 3.386389},
                        {"500micron", false, 0.0666612},
                        {"500 microns", false, 0.0666612},
                        {"350kPa", false, 350},
                        {"350kPaa", false, 350},
                        {"3.5bar", false, 350},
                        {"3.5bara", false, 350},
                        {"250kPag", true, 351.325},
                        {"2.5barg", true, 351.325},
                        {"-5psig", true, 101.325 - 5 * 6.894757}};
    for (const auto& row : rows) {
        CAPTURE(row.typed);
        const auto p = parse_pressure(row.typed);
        REQUIRE(p.has_value());
        CHECK(std::holds_alternative<GaugePressure>(p->value) == row.is_gauge);
        CHECK(p->absolute(standard_atmosphere()).in_kilopascals() == Approx(row.absolute_kpa).epsilon(1e-5).scale(10));
        CHECK(p->typed == row.typed);
    }
}

TEST_CASE("a gauge reading follows the barometer of the place, an absolute one does not") {
    const auto denver = AbsolutePressure::kilopascals(83.4);
    CHECK(parse_pressure("0psig")->absolute(denver).in_kilopascals() == Approx(83.4));
    CHECK(parse_pressure("500micron")->absolute(denver).in_microns() == Approx(500));
    CHECK(gauge(AbsolutePressure::psia(14.695949), standard_atmosphere()).in_psig() == Approx(0).scale(1));
}

TEST_CASE("what is no pressure is refused under its own name") {
    struct Row {
        const char* typed;
        const char* name;
    };
    const Row rows[] = {
        {"", "pressure-number"},        {"36", "pressure-no-unit"},         {"36psi", "pressure-gauge-or-absolute"},
        {"36torr", "pressure-unit"},    {"36psig cold", "pressure-number"}, {"31inHg", "pressure-range"},
        {"-10inHg", "pressure-range"},  {"-20psig", "pressure-range"},      {"-1kPa", "pressure-range"},
        {"99999psig", "pressure-range"}};
    for (const auto& row : rows) {
        CAPTURE(row.typed);
        const auto p = parse_pressure(row.typed);
        REQUIRE_FALSE(p.has_value());
        CHECK(p.error().name == row.name);
    }
}

TEST_CASE("a water capacity is pounds or kilograms of water at 60 F, or litres") {
    CHECK(parse_water_capacity("21.6L", ScaleReads::unknown)->in_litres() == Approx(21.6));
    CHECK(parse_water_capacity("47.6lb", ScaleReads::unknown)->in_litres() == Approx(47.6 * 0.45359237 / 0.999));
    CHECK(parse_water_capacity("21.6kg", ScaleReads::unknown)->in_litres() == Approx(21.6 / 0.999));
    CHECK(parse_water_capacity("47.6", ScaleReads::lb)->in_litres() == Approx(47.6 * 0.45359237 / 0.999));
    CHECK(parse_water_capacity("47.6", ScaleReads::unknown).error().name == "weight-no-unit");
    CHECK(parse_water_capacity("0lb", ScaleReads::unknown).error().name == "water-capacity");
    CHECK(parse_water_capacity("0L", ScaleReads::unknown).error().name == "water-capacity");
    CHECK(parse_water_capacity("-5L", ScaleReads::unknown).error().name == "water-capacity");
    CHECK(parse_water_capacity("", ScaleReads::unknown).error().name == "weight-empty");
}

TEST_CASE("a volume filled with a density weighs what it should, and the trade's pound per cubic foot agrees") {
    CHECK(Volume::litres(10).filled_with(Density::kg_per_m3(1000)) == Mass::from_kilograms(10));
    // 1 cubic foot is 28.316846592 L, exactly
    CHECK(Volume::litres(28.316846592).filled_with(Density::kg_per_m3(54.7 * 16.018463373960142)).in_pounds() ==
          Approx(54.7));
    const Mass water = Mass::thousandths_of_a_pound(47'600);
    CHECK(Volume::of_water(water).filled_with(water_at_60f()) == water);
}
