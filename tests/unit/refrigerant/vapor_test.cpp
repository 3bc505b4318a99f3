#include "tarebook/refrigerant/vapor.hpp"

#include <doctest/doctest.h>

#include "tarebook/refrigerant/catalogue.hpp"

using namespace tarebook;

namespace {
const Refrigerant& r448a() {
    return *Catalogue().find("R-448A");
}
}  // namespace

TEST_CASE("above the dew pressure there is liquid, and no vapour density is made up") {
    const auto at = Temperature::fahrenheit(60);
    const auto dew = saturation_at(r448a(), at)->dew;
    const auto above = AbsolutePressure::kilopascals(dew.in_kilopascals() * 1.0001);
    CHECK(vapor_density(r448a(), dew, at).has_value());
    const auto none = vapor_density(r448a(), above, at);
    REQUIRE_FALSE(none.has_value());
    CHECK(none.error().why == NoVapor::Why::liquid_present);
    CHECK(no_vapor(r448a(), none.error()).name == "liquid-present");
}

TEST_CASE("vapour gets heavier with pressure and lighter with temperature, all the way") {
    for (const auto& gas : Catalogue::compiled()) {
        if (!gas.saturation.has_table()) continue;
        CAPTURE(gas.designation);
        for (double celsius = gas.saturation.low().in_celsius(); celsius < 120; celsius += 10) {
            double before = 0;
            for (double kpa = 1; kpa <= 1000; kpa *= 1.5) {
                const auto p = AbsolutePressure::kilopascals(kpa);
                const auto density = vapor_density(gas, p, Temperature::celsius(celsius));
                if (!density) break;
                CHECK(density->in_kg_per_m3() > before);
                before = density->in_kg_per_m3();
                const auto warmer = vapor_density(gas, p, Temperature::celsius(celsius + 1));
                REQUIRE(warmer.has_value());
                CHECK(*warmer < *density);
            }
        }
    }
}

TEST_CASE("colder than the table, without a table, or hot under more pressure than was checked there is no density") {
    const auto p = AbsolutePressure::kilopascals(10);
    const auto cold = vapor_density(r448a(), p, Temperature::celsius(-61));
    REQUIRE_FALSE(cold.has_value());
    CHECK(no_vapor(r448a(), cold.error()).name == "saturation-range");
    const auto& co2 = *Catalogue().find("R-744");
    CHECK(vapor_density(co2, AbsolutePressure::kilopascals(1000), Temperature::celsius(35)).has_value());
    const auto hot = vapor_density(co2, AbsolutePressure::kilopascals(1001), Temperature::celsius(35));
    REQUIRE_FALSE(hot.has_value());
    CHECK(no_vapor(co2, hot.error()).name == "vapor-not-checked");
    for (const auto& gas : Catalogue::compiled())
        if (!gas.saturation.has_table()) {
            const auto none = vapor_density(gas, p, Temperature::celsius(20));
            REQUIRE_FALSE(none.has_value());
            CHECK(no_vapor(gas, none.error()).name == "saturation-no-table");
        }
}
