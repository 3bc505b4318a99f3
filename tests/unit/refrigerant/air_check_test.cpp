#include <doctest/doctest.h>

#include "tarebook/refrigerant/air_check.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

using namespace tarebook;

namespace {

/// At 77 F, so many psi over the bubble pressure.
AirCheckQuestion over(std::vector<const Refrigerant*> gases, double psi) {
    AirCheckQuestion q{.could_be = std::move(gases)};
    q.temperature = Temperature::celsius(25);
    const auto p = saturation_at(*q.could_be.front(), q.temperature).value();
    q.pressure =
        AbsolutePressure::kilopascals(p.bubble.in_kilopascals() + PressureDifference::psi(psi).in_kilopascals());
    return q;
}
AirVerdict verdict(const AirCheckQuestion& q) {
    return air_check(q).value().verdict;
}
const Refrigerant* gas(const char* name) {
    return Catalogue().find(name);
}

}  // namespace

TEST_CASE("air check: the verdict turns where the band ends, and below the curve where the gauge's own error does") {
    const auto band = air_check(over({gas("R-404A")}, 0)).value().band.in_psi();
    CHECK(verdict(over({gas("R-404A")}, band + 0.01)) == AirVerdict::excess);
    CHECK(verdict(over({gas("R-404A")}, band - 0.01)) == AirVerdict::inconclusive);
    CHECK(verdict(over({gas("R-404A")}, 0.01)) == AirVerdict::inconclusive);
    CHECK(verdict(over({gas("R-404A")}, -0.01)) == AirVerdict::clear);
    CHECK(verdict(over({gas("R-404A")}, -4.99)) == AirVerdict::clear);
    CHECK(verdict(over({gas("R-404A")}, -5.01)) == AirVerdict::below);
}

TEST_CASE("air check: the parts of the band add up as squares, and an uncertain table widens it") {
    const auto check = air_check(over({gas("R-22")}, 0)).value();
    const double sum = 25 + check.thermometer_part.in_psi() * check.thermometer_part.in_psi() +
                       check.table_part.in_psi() * check.table_part.in_psi();
    CHECK(check.band.in_psi() * check.band.in_psi() == doctest::Approx(sum));
    // R-402A's pressures are good to 5 %: about 10 psi at 25 C.
    const auto estimated = air_check(over({gas("R-402A")}, 9)).value();
    CHECK(estimated.verdict == AirVerdict::inconclusive);
    CHECK(estimated.table_part.in_psi() > 9);
    auto exact = over({gas("R-22")}, 2);
    exact.gauge_accuracy = PressureDifference::psi(0);
    exact.thermometer_accuracy = TemperatureDifference::kelvin(0);
    CHECK(verdict(exact) == AirVerdict::excess);
}

TEST_CASE("air check: without liquid it says nothing, and a cylinder that is full of liquid is told as such") {
    auto q = over({gas("R-22")}, -100);
    q.inside = Volume::litres(21.6);
    // R-22 at 25 C: 44.23 kg/m3 of vapour fill 21.6 litres with 0.955 kg, 1190.65 kg/m3 of liquid with 25.7 kg.
    q.net = Mass::from_kilograms(0.95);
    CHECK(verdict(q) == AirVerdict::no_liquid);
    CHECK_FALSE(air_check(q).value().air_mole_percent.has_value());
    q.net = Mass::from_kilograms(0.96);
    CHECK(verdict(q) == AirVerdict::below);
    q.net = Mass::from_kilograms(25.7);
    CHECK(verdict(q) == AirVerdict::below);
    q.net = Mass::from_kilograms(25.8);
    CHECK(verdict(q) == AirVerdict::liquid_full);
    q.net = Mass::from_kilograms(-0.1);
    CHECK(verdict(q) == AirVerdict::no_liquid);
    // One of the two alone decides nothing.
    q.inside = std::nullopt;
    CHECK(verdict(q) == AirVerdict::below);
}

TEST_CASE("air check: of several gases the highest has to be passed, the lowest undercut, and none is ever clear") {
    const std::vector<const Refrigerant*> both = {gas("R-22"), gas("R-404A")};
    auto q = over(both, 0);  // at R-22's own pressure
    CHECK(verdict(q) == AirVerdict::inconclusive);
    CHECK(air_check(q).value().compared_with == gas("R-404A"));
    q.pressure = over({gas("R-404A")}, 10).pressure;
    CHECK(verdict(q) == AirVerdict::excess);
    q.pressure = over({gas("R-404A")}, -1).pressure;
    CHECK(verdict(q) == AirVerdict::inconclusive);
    q.pressure = over({gas("R-22")}, -6).pressure;
    CHECK(verdict(q) == AirVerdict::below);
}

TEST_CASE("air check: no gas, no table and no liquid at that temperature are told by name") {
    AirCheckQuestion q;
    CHECK(air_check(q).error().name == "air-check-contents");
    q.could_be = {gas("R-401B")};
    CHECK(air_check(q).error().name == "saturation-no-table");
    q.could_be = {gas("R-744")};
    q.temperature = Temperature::celsius(35);
    CHECK(air_check(q).error().name == "saturation-range");
    // At the end of a table the thermometer's error is taken from the side that is there.
    auto end = over({gas("R-134a")}, 0);
    end.temperature = Temperature::celsius(75);
    const auto check = air_check(end).value();
    CHECK(check.thermometer_part.in_psi() > 5);
}

TEST_CASE("air check: what the excess would be as air") {
    const auto check = air_check(over({gas("R-404A")}, 20)).value();
    REQUIRE(check.air_mole_percent.has_value());
    const auto p = over({gas("R-404A")}, 20).pressure;
    CHECK(*check.air_mole_percent == doctest::Approx(20 / p.in_psia() * 100));
    CHECK_FALSE(check.air.has_value());
    CHECK_FALSE(air_check(over({gas("R-404A")}, -1)).value().air_mole_percent.has_value());
}
