// The fill study (data/fill-study.csv): densities at 25 and 55 C, the temperature at which a cylinder filled to 80 % at
// 25 C is liquid-full, and the service pressure that 55 C asks for. Computed from published Helmholtz-energy equations
// of state, sources in schema/saturation/README.md; the study solved the equations, the library interpolates tables.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "support/csv.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/refrigerant/cylinder_physics.hpp"
#include "tarebook/refrigerant/fill_limit.hpp"

using namespace tarebook;
using tarebook::tests::read_csv;

namespace {

const std::string study = TAREBOOK_SOURCE_DIR "/tests/reference/data/fill-study.csv";
// The table's six digits and the study's five; interpolation adds at most 0.01 % (schema/saturation/README.md).
constexpr double density_off = 2e-4;
constexpr double liquid_full_off_k = 0.3;
// The study flashes the blend's shifted composition, the library takes the nominal one: the most that it can show.
constexpr double liquid_share_off = 0.01;
constexpr double pressure_off = 0.005;

}  // namespace

TEST_CASE("the study's densities at 25 C and 55 C are ours, and where it has none we have none") {
    std::size_t compared = 0;
    for (const auto& row : read_csv(study)) {
        const auto* r = Catalogue().find(row["designation"]);
        if (!r) {
            CHECK(row["designation"] == "R-113");  // carried as a table only
            continue;
        }
        CAPTURE(row["designation"]);
        for (const double c : {25.0, 55.0}) {
            const auto ours = liquid_density(*r, Temperature::celsius(c));
            const auto& published = row[c == 25.0 ? "rho_liquid_25c_kg_m3" : "rho_liquid_55c_kg_m3"];
            if (published.empty()) {
                CHECK_FALSE(ours.has_value());
                continue;
            }
            if (!ours) {
                // 25 C is nearer to its critical point than the table goes, and nothing is extrapolated.
                CHECK(row["designation"] == "R-23");
                continue;
            }
            CHECK(ours->in_kg_per_m3() == doctest::Approx(std::stod(published)).epsilon(density_off));
            ++compared;
        }
    }
    CHECK(compared == 132);
}

TEST_CASE("the study's liquid-full temperatures are ours within 0.3 K, or above the table where they are") {
    std::size_t solved = 0;
    std::size_t above = 0;
    for (const auto& row : read_csv(study)) {
        const auto* r = Catalogue().find(row["designation"]);
        if (!r || row["liquid_full_t_c"].empty()) continue;
        CAPTURE(row["designation"]);
        const auto full = liquid_temperature(*r, Density::kg_per_m3(0.8 * row.number("rho_liquid_25c_kg_m3")));
        const double published = row.number("liquid_full_t_c");
        if (full) {
            CHECK(std::abs(full->in_celsius() - published) <= liquid_full_off_k);
            ++solved;
        } else {
            CHECK(full.error().side == OutsideTable::Side::hotter);
            CHECK(published > full.error().high.in_celsius() - liquid_full_off_k);
            ++above;
        }
    }
    CHECK(solved == 42);
    CHECK(above == 23);
}

TEST_CASE("how much overfills a cylinder at 55 C agrees with the study") {
    for (const auto& row : read_csv(study)) {
        const auto* r = Catalogue().find(row["designation"]);
        if (!r || row["overfill_to_full_at_55c_pct"].empty()) continue;
        CAPTURE(row["designation"]);
        const double at_25c = liquid_density(*r, Temperature::celsius(25))->in_kg_per_m3();
        const double at_55c = liquid_density(*r, Temperature::celsius(55))->in_kg_per_m3();
        const double percent = (at_55c / (0.8 * at_25c) - 1) * 100;
        CHECK(std::abs(percent - row.number("overfill_to_full_at_55c_pct")) <= 0.06);
    }
}

TEST_CASE("service pressures and flags are the study's (49 CFR 173.301a(d): pressure at 55 C / 1.25)") {
    std::size_t rated = 0;
    for (const auto& row : read_csv(study)) {
        const auto* r = Catalogue().find(row["designation"]);
        if (!r) continue;
        CAPTURE(row["designation"]);
        REQUIRE(r->cylinder.has_value());
        CHECK(r->cylinder->min_service.has_value() == !row["min_service_pressure_psig"].empty());
        if (r->cylinder->min_service) {
            CHECK(r->cylinder->min_service->in_psig() == doctest::Approx(row.number("min_service_pressure_psig")));
            CHECK(r->cylinder->min_service->in_psig() ==
                  doctest::Approx(row.number("p_55c_psig") / 1.25).epsilon(0).scale(1).epsilon(0.11));
            ++rated;
        }
        CHECK(r->cylinder->pressure_uncertainty_percent == row.number("p_uncertainty_pct"));
        CHECK(r->cylinder->density_uncertainty_percent == row.number("rho_uncertainty_pct"));
        const auto& flags = row["flags"];
        CHECK(r->cylinder->thin_margin == (flags.find("thin-margin") != std::string::npos));
        CHECK(r->cylinder->no_liquid_at_25c == (flags.find("tc-below-25") != std::string::npos));
        CHECK(r->cylinder->no_liquid_at_55c == (flags.find("tc-below-55") != std::string::npos));
    }
    CHECK(rated == 68);
}

TEST_CASE("the tables' pressure at 55 C is the study's gauge pressure, where the fill leaves vapour") {
    for (const auto& row : read_csv(study)) {
        const auto* r = Catalogue().find(row["designation"]);
        // R-125 is liquid-full by then: its pressure is above the bubble point.
        if (!r || row["p_bubble_55c_kpa"].empty() || row["designation"] == "R-125") continue;
        CAPTURE(row["designation"]);
        for (const auto& line : r->saturation.rows)
            if (line.temperature == Temperature::celsius(55)) {
                const auto shown = gauge(line.bubble, standard_atmosphere());
                CHECK(std::abs(shown.in_psig() - row.number("p_55c_psig")) <= 0.06);
            }
    }
}

TEST_CASE("share of liquid, pressure and flags at 55 C come out of the cylinder's physics as the study has them") {
    const auto litre = Volume::litres(1000);
    std::size_t compared = 0;
    for (const auto& row : read_csv(study)) {
        const auto* r = Catalogue().find(row["designation"]);
        if (!r || row["p_bubble_55c_kpa"].empty()) continue;
        CAPTURE(row["designation"]);
        const auto fill = Mass::from_kilograms(row.number("fill_80pct_25c_kg_l") * 1000);
        const auto hot = fill_state_at(*r, fill, litre, Temperature::celsius(55)).value();
        const auto turns = liquid_full_temperature(*r, fill, litre);
        const bool thin = turns && turns->in_celsius() > 55 && turns->in_celsius() <= 60;
        CHECK(thin == (row["flags"].find("thin-margin") != std::string::npos));
        const bool full = row["flags"].find("liquid-full-at-or-below-55") != std::string::npos;
        CHECK((hot.phases == Phases::liquid_full) == full);
        ++compared;
        if (full) continue;
        CHECK(std::abs(hot.liquid_share - row.number("liquid_fraction_55c")) <= liquid_share_off);
        CHECK(hot.pressure_at_most->in_kilopascals() ==
              doctest::Approx(row.number("p_cylinder_55c_kpa")).epsilon(pressure_off));
    }
    CHECK(compared == 65);
}

// Trade practice, project reference collection, section 2.2: the 77 F rule seen at 130 F; and section 3.4: the vapour
// left in a nominal 50 lb cylinder at 70 F. Both computed there from published equations of state.
TEST_CASE("the 77 F rule at 130 F, and the heel at 70 F, agree with the worked figures") {
    struct Share {
        const char* designation;
        double percent;
    };
    for (const auto& [designation, percent] :
         {Share{"R-410A", 97}, Share{"R-507A", 97}, Share{"R-404A", 96}, Share{"R-32", 94}, Share{"R-448A", 92},
          Share{"R-449A", 92}, Share{"R-407A", 92}, Share{"R-407C", 91}}) {
        const std::string_view gas = designation;
        CAPTURE(gas);
        const auto& r = *Catalogue().find(designation);
        const auto fill = Mass::from_kilograms(0.8 * liquid_density(r, Temperature::fahrenheit(77))->in_kg_per_m3());
        const auto hot = fill_state_at(r, fill, Volume::cubic_metres(1), Temperature::fahrenheit(130)).value();
        CHECK(std::abs(hot.liquid_share * 100 - percent) <= 0.6);  // printed in whole per cent
    }
    const auto inside = Volume::litres(0.763 * 28.316846592);
    for (const auto& [designation, pounds] : {Share{"R-404A", 2.8}, Share{"R-134a", 1.4}, Share{"R-22", 1.9}}) {
        const std::string_view gas = designation;
        CAPTURE(gas);
        const auto heel = vapor_heel(*Catalogue().find(designation), inside, Temperature::fahrenheit(70)).value();
        CHECK(std::abs(heel.in_pounds() - pounds) <= 0.05);
    }
}
