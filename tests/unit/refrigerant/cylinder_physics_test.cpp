#include "tarebook/refrigerant/cylinder_physics.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

namespace cylinder_physics_test {

namespace {

const Refrigerant& gas(std::string_view designation) {
    return *Catalogue().find(designation);
}
Volume wc_47_6() {
    return Volume::of_water(Mass::thousandths_of_a_pound(47'600));
}

}  // namespace

TEST_CASE("with less than its vapour a cylinder has no liquid, and presses no more than the dew pressure") {
    const auto at = Temperature::fahrenheit(70);
    const auto point = saturation_at(gas("R-448A"), at).value();
    const auto heel = vapor_heel(gas("R-448A"), wc_47_6(), at).value();
    const auto below = fill_state_at(gas("R-448A"), heel - Mass::thousandths_of_a_pound(1), wc_47_6(), at).value();
    CHECK(below.phases == Phases::all_vapor);
    CHECK(below.liquid_share == 0.0);
    CHECK(below.pressure_at_most == point.dew);
    const auto above = fill_state_at(gas("R-448A"), heel + Mass::thousandths_of_a_pound(1), wc_47_6(), at).value();
    CHECK(above.phases == Phases::liquid_and_vapor);
    CHECK(above.liquid_share > 0.0);
    CHECK(above.liquid_share < 0.001);
    CHECK(above.pressure_at_most == point.bubble);
}

TEST_CASE("a liquid-full cylinder has no pressure that a table could name") {
    const auto at = Temperature::celsius(55);
    const auto full = wc_47_6().filled_with(saturation_at(gas("R-404A"), at).value().liquid);
    const auto over = fill_state_at(gas("R-404A"), full + Mass::thousandths_of_a_pound(1), wc_47_6(), at).value();
    CHECK(over.phases == Phases::liquid_full);
    CHECK(over.liquid_share == 1.0);
    CHECK_FALSE(over.pressure_at_most.has_value());
    const auto under = fill_state_at(gas("R-404A"), full - Mass::thousandths_of_a_pound(1), wc_47_6(), at).value();
    CHECK(under.phases == Phases::liquid_and_vapor);
    CHECK(under.liquid_share > 0.999);
    const auto turns = liquid_full_temperature(gas("R-404A"), full, wc_47_6()).value();
    CHECK(turns.in_celsius() == doctest::Approx(55.0).epsilon(1e-6));
}

TEST_CASE("an empty cylinder, and one under its tare, hold vapour at most; and have no liquid-full temperature") {
    for (const auto net : {Mass(), Mass::thousandths_of_a_pound(-500)}) {
        const auto inside = fill_state_at(gas("R-22"), net, wc_47_6(), Temperature::celsius(25)).value();
        CHECK(inside.phases == Phases::all_vapor);
        CHECK(liquid_full_temperature(gas("R-22"), net, wc_47_6()).error().side == OutsideTable::Side::hotter);
    }
}

TEST_CASE("outside the table there is no answer, and the error says on which side") {
    const auto some = Mass::thousandths_of_a_pound(10'000);
    CHECK(fill_state_at(gas("R-744"), some, wc_47_6(), Temperature::celsius(55)).error().side ==
          OutsideTable::Side::hotter);
    CHECK(fill_state_at(gas("R-22"), some, wc_47_6(), Temperature::celsius(-70)).error().side ==
          OutsideTable::Side::colder);
    CHECK(vapor_heel(gas("R-401B"), wc_47_6(), Temperature::celsius(20)).error().side == OutsideTable::Side::no_table);
}

TEST_CASE("the uncertainty of the figures counts toward the higher pressure, as one of the absolute") {
    const auto& r401a = gas("R-401A");  // estimated mixture parameters: 5 %
    REQUIRE(r401a.cylinder->pressure_uncertainty_percent == 5.0);
    const auto shown = gauge_at_most(r401a, AbsolutePressure::kilopascals(1000));
    CHECK(shown.in_kilopascals() == doctest::Approx(1050 - 101.325));
}

}  // namespace cylinder_physics_test
