#include <doctest/doctest.h>

#include "tarebook/units/atmosphere.hpp"

using namespace tarebook;

TEST_CASE("the barometer at a height is that of the standard atmosphere's table") {
    // ISO 2533:1975 (ICAO standard atmosphere), pressure by geopotential altitude; from memory.
    CHECK(barometer_at(Altitude::metres(0)).in_kilopascals() == doctest::Approx(101.325));
    CHECK(barometer_at(Altitude::metres(1000)).in_kilopascals() == doctest::Approx(89.8746).epsilon(1e-5));
    CHECK(barometer_at(Altitude::metres(3000)).in_kilopascals() == doctest::Approx(70.1085).epsilon(1e-5));
    CHECK(barometer_at(Altitude::metres(5000)).in_kilopascals() == doctest::Approx(54.0199).epsilon(1e-5));
    CHECK(barometer_at(Altitude::feet(5000)).in_kilopascals() == doctest::Approx(84.307).epsilon(1e-4));
}

TEST_CASE("altitudes and barometers are taken in the units that people read") {
    CHECK(parse_altitude("5000ft")->in_metres() == doctest::Approx(1524));
    CHECK(parse_altitude(" 1500 m ")->in_metres() == doctest::Approx(1500));
    CHECK(parse_altitude("-280ft")->in_feet() == doctest::Approx(-280));
    CHECK(parse_barometer("84kPa")->in_kilopascals() == doctest::Approx(84));
    CHECK(parse_barometer("840hPa")->in_kilopascals() == doctest::Approx(84));
    CHECK(parse_barometer("840 mbar")->in_kilopascals() == doctest::Approx(84));
    CHECK(parse_barometer("24.9inHg")->in_kilopascals() == doctest::Approx(84.32).epsilon(1e-4));
    CHECK(parse_barometer("12.2psia")->in_kilopascals() == doctest::Approx(84.116).epsilon(1e-4));
}

TEST_CASE("what is no altitude and no barometer is refused by name") {
    const struct {
        const char* typed;
        const char* name;
    } altitudes[] = {{"", "altitude-number"},         {"high", "altitude-number"},   {"5000", "altitude-unit"},
                     {"5000 yards", "altitude-unit"}, {"20001ft", "altitude-range"}, {"-1401ft", "altitude-range"},
                     {"5000ft 3", "altitude-number"}, {"1e3m", "altitude-number"}};
    for (const auto& row : altitudes) {
        CAPTURE(row.typed);
        REQUIRE_FALSE(parse_altitude(row.typed).has_value());
        CHECK(parse_altitude(row.typed).error().name == row.name);
    }
    CHECK(parse_altitude("20000ft").has_value());
    CHECK(parse_altitude("-1400ft").has_value());
    const struct {
        const char* typed;
        const char* name;
    } barometers[] = {{"", "barometer-number"},        {"low", "barometer-number"},   {"84", "barometer-unit"},
                      {"84psi", "barometer-unit"},     {"84psig", "barometer-unit"},  {"44.9kPa", "barometer-range"},
                      {"110.1kPa", "barometer-range"}, {"-84kPa", "barometer-range"}, {"5inHg", "barometer-range"}};
    for (const auto& row : barometers) {
        CAPTURE(row.typed);
        REQUIRE_FALSE(parse_barometer(row.typed).has_value());
        CHECK(parse_barometer(row.typed).error().name == row.name);
    }
}
