// Vapour away from saturation, against equations of state that others published and against the tables of
// tests/reference/data (trade-practice 6.2).
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "helmholtz.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/refrigerant/vapor.hpp"

using namespace tarebook;
namespace vapor_density_test {

using tarebook::tests::published_equations;

namespace {

double off(double ours, double theirs) {
    return std::abs(ours / theirs - 1);
}

}  // namespace

TEST_CASE("the published equations that measure us meet every saturated-vapour row of our tables") {
    for (const auto& equation : published_equations()) {
        const auto& gas = *Catalogue().find(equation.designation);
        for (const auto& row : gas.saturation.rows) {
            CAPTURE(equation.designation);
            CAPTURE(row.temperature.in_celsius());
            const double p =
                equation.kilopascals(row.temperature.in_kelvin(), row.vapor.in_kg_per_m3() / equation.molar_mass);
            CHECK(off(p, row.dew.in_kilopascals()) < equation.meets_table_within);
        }
    }
}

TEST_CASE("vapour density is within 2 % of a published equation of state up to 10 bar, superheated as far as 150 C") {
    double worst = 0;
    std::size_t compared = 0;
    for (const auto& equation : published_equations()) {
        const auto& gas = *Catalogue().find(equation.designation);
        const double low = gas.saturation.low().in_celsius();
        for (double celsius = low; celsius <= 150; celsius += 2.5) {
            const auto at = Temperature::celsius(celsius);
            for (const double kpa : {0.01, 0.0667, 1.0, 10.0, 50.0, 101.325, 200.0, 400.0, 600.0, 800.0, 1000.0}) {
                const auto ours = vapor_density(gas, AbsolutePressure::kilopascals(kpa), at);
                if (!ours) {
                    CHECK(ours.error().why == NoVapor::Why::liquid_present);
                    continue;
                }
                CAPTURE(equation.designation);
                CAPTURE(celsius);
                CAPTURE(kpa);
                const double difference = off(ours->in_kg_per_m3(), equation.vapor_kg_m3(at.in_kelvin(), kpa));
                CHECK(difference < 0.006);  // issue 4 asks for 0.02
                worst = std::max(worst, difference);
                ++compared;
            }
        }
    }
    CHECK(compared > 2000);
    MESSAGE("worst of ", compared, ": ", worst * 100, " %");
}

TEST_CASE("vapour under vacuum is an ideal gas for every refrigerant, and at the dew pressure the table's own vapour") {
    for (const auto& gas : Catalogue::compiled()) {
        if (!gas.saturation.has_table()) continue;
        CAPTURE(gas.designation);
        for (const auto& row : gas.saturation.rows) {
            const auto thin = vapor_density(gas, AbsolutePressure::microns(500), row.temperature);
            REQUIRE(thin.has_value());
            const double ideal = AbsolutePressure::microns(500).in_kilopascals() * gas.molar_mass_g_mol /
                                 (8.314462618 * row.temperature.in_kelvin());
            CHECK(off(thin->in_kg_per_m3(), ideal) < 0.002);
            const auto dew = saturation_at(gas, row.temperature)->dew;
            const auto saturated = vapor_density(gas, dew, row.temperature);
            REQUIRE(saturated.has_value());
            CHECK(off(saturated->in_kg_per_m3(), row.vapor.in_kg_per_m3()) < 0.0002);
        }
    }
}

TEST_CASE("leftover vapour at 75 F is that of the trade-practice table, within its digits") {
    // reference collection, trade-practice 6.2 (computed with real-gas equations of state, status D)
    struct Row {
        const char* gas;
        double psig0, inhg10, inhg15, microns500;
    };
    const Row rows[] = {{"R-22", 0.225, 0.149, 0.111, 0.00015},
                        {"R-448A", 0.225, 0.149, 0.111, 0.00015},
                        {"R-134a", 0.267, 0.176, 0.132, 0.00017},
                        {"R-404A", 0.254, 0.168, 0.126, 0.00016},
                        {"R-410A", 0.188, 0.125, 0.093, 0.00012}};
    const auto at = Temperature::fahrenheit(75);
    for (const auto& row : rows) {
        CAPTURE(row.gas);
        const auto density = [&](AbsolutePressure p) {
            return vapor_density(*Catalogue().find(row.gas), p, at)->in_lb_per_ft3();
        };
        const auto vacuum = [&](double inhg) {
            return density(absolute(GaugePressure::inhg_vacuum(inhg), standard_atmosphere()));
        };
        CHECK(std::abs(density(standard_atmosphere()) - row.psig0) < 0.0012);
        CHECK(std::abs(vacuum(10) - row.inhg10) < 0.0012);
        CHECK(std::abs(vacuum(15) - row.inhg15) < 0.0012);
        CHECK(std::abs(density(AbsolutePressure::microns(500)) - row.microns500) < 0.000006);
    }
    // 6.3: R-448A at 70 psig and 60 F
    const auto suction =
        vapor_density(*Catalogue().find("R-448A"), absolute(GaugePressure::psig(70), standard_atmosphere()),
                      Temperature::fahrenheit(60));
    REQUIRE(suction.has_value());
    CHECK(off(suction->in_lb_per_ft3(), 1.471) < 0.005);
}

TEST_CASE("a suction header that stood at 35 to 36 psig lies between 0 and 20 F at the dew point") {
    // Common practice, no source: arithmetic only. At any warmer place an isolated circuit at that pressure holds
    // vapour alone.
    for (const char* name : {"R-22", "R-404A", "R-448A", "R-449A"}) {
        CAPTURE(name);
        const auto& gas = *Catalogue().find(name);
        for (const double psig : {35.0, 36.0}) {
            const auto p = absolute(GaugePressure::psig(psig), standard_atmosphere());
            const auto dew = dew_temperature(gas, p);
            REQUIRE(dew.has_value());
            CHECK(dew->in_fahrenheit() > 0);
            CHECK(dew->in_fahrenheit() < 20);
            CHECK(vapor_density(gas, p, Temperature::fahrenheit(60)).has_value());
        }
    }
}

}  // namespace vapor_density_test
