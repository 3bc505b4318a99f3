#include <doctest/doctest.h>

#include <cmath>

#include "tarebook/refrigerant.hpp"

using namespace tarebook;

TEST_CASE("72 refrigerants have a saturation table, with all five columns") {
    std::size_t tables = 0;
    for (const auto& r : all_refrigerants()) {
        if (r.saturation.rows.empty()) continue;
        ++tables;
        CHECK(r.saturation.rows.back().temperature < r.saturation.critical);
    }
    CHECK(tables == 72);
    const auto& row = find_refrigerant("R-448A")->saturation.rows.front();
    CHECK(row.temperature == Temperature::celsius(-60));
    CHECK(row.bubble.in_kilopascals() == 49.268);
    CHECK(row.dew.in_kilopascals() == 33.3783);
    CHECK(row.liquid.in_kg_per_m3() == 1389.27);
    CHECK(row.vapor.in_kg_per_m3() == 1.65676);
}

TEST_CASE("at a row the density is the row's, between rows it falls all the way") {
    for (const auto& r : all_refrigerants()) {
        const auto rows = r.saturation.rows;
        if (rows.empty()) continue;
        CAPTURE(r.designation);
        for (const auto& row : rows)
            REQUIRE(liquid_density(r, row.temperature)->in_kg_per_m3() ==
                    doctest::Approx(row.liquid.in_kg_per_m3()).epsilon(1e-12));
        double last = rows.front().liquid.in_kg_per_m3() + 1;
        const double low = rows.front().temperature.in_celsius();
        const double high = rows.back().temperature.in_celsius();
        for (int i = 0; i <= 1000; ++i) {
            const auto density = liquid_density(r, Temperature::celsius(low + (high - low) * i / 1000));
            if (!density) {
                // the last step may pass the last row by the width of a rounding
                REQUIRE(i == 1000);
                break;
            }
            REQUIRE(density->in_kg_per_m3() < last);
            last = density->in_kg_per_m3();
        }
    }
}

TEST_CASE("leaving out every second row moves the density by less than 0.15 % away from the critical point") {
    // Each row left out is compared with the curve through its neighbours: a check of the method, not of the data.
    for (const auto& r : all_refrigerants()) {
        const auto rows = r.saturation.rows;
        if (rows.size() < 8) continue;
        std::vector<SaturationRow> kept;
        for (std::size_t i = 0; i < rows.size(); i += 2) kept.push_back(rows[i]);
        Refrigerant sparse = r;
        sparse.saturation.rows = kept;
        for (std::size_t i = 1; i + 1 < rows.size(); i += 2) {
            CAPTURE(r.designation);
            CAPTURE(rows[i].temperature.in_celsius());
            if (rows[i].temperature.in_kelvin() > 0.94 * r.saturation.critical.in_kelvin()) continue;
            const auto density = liquid_density(sparse, rows[i].temperature);
            if (!density) continue;
            CHECK(density->in_kg_per_m3() == doctest::Approx(rows[i].liquid.in_kg_per_m3()).epsilon(0.0015));
        }
    }
}

TEST_CASE("nothing is extrapolated: outside the rows there is no density") {
    const auto& r448a = *find_refrigerant("R-448A");
    CHECK_FALSE(liquid_density(r448a, Temperature::celsius(-60.001)).has_value());
    CHECK_FALSE(liquid_density(r448a, Temperature::celsius(75.001)).has_value());
    CHECK(liquid_density(r448a, Temperature::celsius(-60)).has_value());
    CHECK(liquid_density(r448a, Temperature::celsius(75)).has_value());
    CHECK_FALSE(liquid_density(r448a, Temperature::celsius(std::nan(""))).has_value());
    CHECK_FALSE(liquid_density(*find_refrigerant("R-508B"), Temperature::celsius(25)).has_value());
    CHECK_FALSE(liquid_density(*find_refrigerant("R-401B"), Temperature::celsius(25)).has_value());
}

TEST_CASE("liquid-full is where the liquid has the density of the fill, and says when that is out of range") {
    const auto& r404a = *find_refrigerant("R-404A");
    for (double c : {-59.9, -12.3, 25.0, 54.4, 69.9}) {
        const auto density = liquid_density(r404a, Temperature::celsius(c));
        REQUIRE(density.has_value());
        const auto full = liquid_full(r404a, *density);
        REQUIRE(full.at.has_value());
        CHECK(full.at->in_celsius() == doctest::Approx(c).epsilon(1e-9).scale(1));
    }
    const auto light = liquid_full(r404a, Density::kg_per_m3(300));
    CHECK_FALSE(light.at.has_value());
    CHECK(light.above_range);
    CHECK_FALSE(light.below_range);
    CHECK(light.range_high.in_celsius() == doctest::Approx(70.1));
    const auto heavy = liquid_full(r404a, Density::kg_per_m3(1500));
    CHECK_FALSE(heavy.at.has_value());
    CHECK(heavy.below_range);
    CHECK(heavy.range_low.in_celsius() == -60.0);
    const auto none = liquid_full(*find_refrigerant("R-401B"), Density::kg_per_m3(900));
    CHECK_FALSE(none.at.has_value());
    CHECK_FALSE(none.above_range);
    CHECK_FALSE(none.below_range);
}
