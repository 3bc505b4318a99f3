// The air check against worked examples: trade practice, section 4 of the project's reference collection, whose
// pressures were computed from the published equations of state (R-22 Kamei 1995; R-404A, R-407C, R-410A Lemmon 2003;
// mixtures Lemmon and Jacobsen 2004, Bell 2022 and 2023). The band of instruments is its own: a gauge off by 1 % of 500
// psi and a thermometer off by 2 F; to act above 5 or 10 psi is common practice, no source.
#include <doctest/doctest.h>

#include <cmath>

#include "tarebook/refrigerant/air_check.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

using namespace tarebook;

namespace {

AirCheckQuestion ask(const char* gas, double fahrenheit, double psig) {
    AirCheckQuestion q{.could_be = {Catalogue().find(gas)}};
    q.temperature = Temperature::fahrenheit(fahrenheit);
    q.pressure = absolute(GaugePressure::psig(psig), standard_atmosphere());
    return q;
}

AirCheckQuestion good_instruments(AirCheckQuestion q) {
    q.gauge_accuracy = PressureDifference::psi(2);
    return q;
}

double psig(AbsolutePressure p) {
    return gauge(p, standard_atmosphere()).in_psig();
}

}  // namespace

TEST_CASE("the four worked checks come out as published, with ordinary and with good instruments") {
    for (const bool good : {false, true}) {
        CAPTURE(good);
        const auto with = [&](AirCheckQuestion q) { return good ? good_instruments(std::move(q)) : q; };
        // "R-404A, 70 F, 158.3 psig: bubble 149.3; excess 9.0 psi: flag"
        const auto r404a = air_check(with(ask("R-404A", 70, 158.3))).value();
        CHECK(r404a.verdict == AirVerdict::excess);
        CHECK(psig(r404a.point.bubble) == doctest::Approx(149.3).epsilon(0.0005));
        CHECK(r404a.excess.in_psi() == doctest::Approx(9.0).epsilon(0.01));
        // "R-22, 80 F, 146 psig: sat 143.6; excess 2.4 psi; band 6: no finding"
        const auto r22 = air_check(with(ask("R-22", 80, 146))).value();
        CHECK(r22.verdict == AirVerdict::inconclusive);
        CHECK(psig(r22.point.bubble) == doctest::Approx(143.6).epsilon(0.0005));
        CHECK(r22.excess.in_psi() == doctest::Approx(2.4).epsilon(0.03));
        CHECK(r22.band.in_psi() > 4.5);
        CHECK(r22.band.in_psi() < 7.5);
        // "R-448A, 75 F at the valve in shade, 160 psig: bubble 167; below: air unlikely"
        const auto r448a = air_check(with(ask("R-448A", 75, 160))).value();
        CHECK(r448a.verdict == AirVerdict::below);
        CHECK(psig(r448a.point.bubble) == doctest::Approx(167).epsilon(0.004));
        // "R-410A label, 70 F, 150 psig: sat 202; 52 low: wrong gas on the label or no liquid"
        const auto r410a = air_check(with(ask("R-410A", 70, 150))).value();
        CHECK(r410a.verdict == AirVerdict::below);
        CHECK(-r410a.excess.in_psi() == doctest::Approx(52).epsilon(0.01));
    }
}

TEST_CASE("the dew column would invent air in clean R-407C and R-448A, the bubble column does not") {
    // "Using dew for R-407C at 77 F (133 instead of 158 psig) would find 25 psi of air in clean gas; R-448A 26 psi."
    const struct {
        const char* gas;
        double psi_of_air;
    } rows[] = {{"R-407C", 25}, {"R-448A", 26}};
    for (const auto& row : rows) {
        CAPTURE(row.gas);
        const auto clean = saturation_at(*Catalogue().find(row.gas), Temperature::fahrenheit(77)).value();
        auto q = ask(row.gas, 77, 0);
        q.pressure = clean.bubble;
        const auto check = air_check(q).value();
        CHECK(check.verdict == AirVerdict::clear);
        CHECK(check.dew_excess.in_psi() == doctest::Approx(row.psi_of_air).epsilon(0.03));
        CHECK(check.dew_excess > check.band);  // so the dew column would have been a finding
    }
    const auto r407c = saturation_at(*Catalogue().find("R-407C"), Temperature::fahrenheit(77)).value();
    CHECK(std::round(psig(r407c.bubble)) == 158);
    CHECK(std::round(psig(r407c.dew)) == 133);
}

TEST_CASE("saturation pressures are those of the published table, to the printed psi") {
    const struct {
        const char* gas;
        int bubble[5], dew[5];
    } rows[] = {
        {"R-22", {102, 121, 144, 168, 196}, {102, 121, 144, 168, 196}},
        {"R-134a", {57, 71, 87, 104, 124}, {57, 71, 87, 104, 124}},
        {"R-404A", {126, 149, 175, 204, 237}, {124, 147, 173, 202, 235}},
        {"R-407A", {125, 149, 175, 205, 238}, {105, 127, 152, 179, 210}},
        {"R-407C", {118, 141, 166, 194, 225}, {97, 117, 141, 167, 196}},
        {"R-410A", {171, 202, 237, 275, 319}, {171, 201, 236, 274, 318}},
        {"R-448A", {130, 154, 181, 211, 244}, {107, 129, 154, 182, 213}},
        {"R-449A", {128, 152, 178, 208, 241}, {107, 129, 153, 181, 212}},
        {"R-507A", {129, 153, 180, 209, 242}, {129, 153, 180, 209, 242}},
        {"R-454C", {118, 139, 164, 190, 220}, {90, 109, 130, 153, 180}},
        {"R-290", {93, 110, 129, 151, 174}, {93, 110, 129, 151, 174}},
    };
    for (const auto& row : rows)
        for (std::size_t i = 0; i < 5; ++i) {
            CAPTURE(row.gas);
            const double fahrenheit = 60 + 10 * static_cast<double>(i);
            CAPTURE(fahrenheit);
            const auto p = saturation_at(*Catalogue().find(row.gas), Temperature::fahrenheit(fahrenheit)).value();
            // The table leaves the dew column out where both differ by 0.6 psi or less.
            CHECK(std::abs(psig(p.bubble) - row.bubble[i]) <= 0.6);
            CHECK(std::abs(psig(p.dew) - row.dew[i]) <= (row.bubble[i] == row.dew[i] ? 1.2 : 0.6));
        }
}

TEST_CASE("two degrees of the thermometer are worth what the published slopes say") {
    // "Slope near 70 F: R-134a 1.5, R-22 2.2, R-404A/R-507A/R-407A/R-448A 2.5-2.6, R-410A 3.4 psi per F. With 2 F and 1
    // % of a 500 psi gauge the uncertainty is 6-8 psi for R-404A class." "Near" is not 70 F exactly: R-22 rises by 2.1
    // there and by 2.25 at 76 F, so a slope may lie off by 0.15.
    const struct {
        const char* gas;
        double psi_per_f;
    } rows[] = {{"R-134a", 1.5},  {"R-22", 2.2},    {"R-404A", 2.55}, {"R-507A", 2.55},
                {"R-407A", 2.55}, {"R-448A", 2.55}, {"R-410A", 3.4}};
    for (const auto& row : rows) {
        CAPTURE(row.gas);
        const auto check = air_check(ask(row.gas, 70, 100)).value();
        CHECK(std::abs(check.thermometer_part.in_psi() / 2 - row.psi_per_f) <= 0.15);
    }
    CHECK(air_check(ask("R-404A", 70, 150)).value().band.in_psi() > 6);
    CHECK(air_check(ask("R-404A", 70, 150)).value().band.in_psi() < 8);
}

TEST_CASE("nine psi of air in a half-full cylinder is a third of an ounce") {
    // "air in a half-full 50 lb cylinder is only 0.36 oz": that cylinder's volume is not given; half of 27.7 litres (61
    // lb of water) is what the ideal gas law makes of it.
    auto q = ask("R-404A", 70, 158.3);
    q.inside = Volume::litres(27.7);
    const auto p = saturation_at(*q.could_be[0], q.temperature).value();
    q.net = Mass::from_kilograms(0.01385 * (p.liquid.in_kg_per_m3() + p.vapor.in_kg_per_m3()));
    const auto check = air_check(q).value();
    REQUIRE(check.air.has_value());
    CHECK(check.air->in_kilograms() * 35.274 == doctest::Approx(0.36).epsilon(0.02));
}
