#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "tarebook/refrigerant/catalogue.hpp"

using namespace tarebook;

TEST_CASE("72 refrigerants have a saturation table, with all five columns") {
    std::size_t tables = 0;
    for (const auto& r : Catalogue::compiled()) {
        if (r.saturation.rows.empty()) continue;
        ++tables;
        CHECK(r.saturation.rows.back().temperature < r.saturation.critical);
    }
    CHECK(tables == 72);
    const auto& row = Catalogue().find("R-448A")->saturation.rows.front();
    CHECK(row.temperature == Temperature::celsius(-60));
    CHECK(row.bubble.in_kilopascals() == 49.268);
    CHECK(row.dew.in_kilopascals() == 33.3783);
    CHECK(row.liquid.in_kg_per_m3() == 1389.27);
    CHECK(row.vapor.in_kg_per_m3() == 1.65676);
}

TEST_CASE("at a row the density is the row's, between rows it falls all the way") {
    for (const auto& r : Catalogue::compiled()) {
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

TEST_CASE("at a row the point is the row's, and a pure refrigerant has one pressure everywhere") {
    for (const auto& r : Catalogue::compiled()) {
        CAPTURE(r.designation);
        for (const auto& row : r.saturation.rows) {
            const auto point = saturation_at(r, row.temperature);
            REQUIRE(point.has_value());
            CHECK(point->bubble.in_kilopascals() == doctest::Approx(row.bubble.in_kilopascals()).epsilon(1e-12));
            CHECK(point->dew.in_kilopascals() == doctest::Approx(row.dew.in_kilopascals()).epsilon(1e-12));
            CHECK(point->liquid.in_kg_per_m3() == doctest::Approx(row.liquid.in_kg_per_m3()).epsilon(1e-12));
            CHECK(point->vapor.in_kg_per_m3() == doctest::Approx(row.vapor.in_kg_per_m3()).epsilon(1e-12));
        }
        if (!r.saturation.has_table() || r.blend()) continue;
        for (double share = 0; share <= 1; share += 0.001) {
            const auto at = r.saturation.low() + TemperatureDifference::kelvin(
                                                     share * (r.saturation.high() - r.saturation.low()).in_kelvin());
            const auto point = saturation_at(r, at);
            if (point) CHECK(point->bubble == point->dew);
        }
    }
}

TEST_CASE("from a row's pressure or density back to its temperature, at both ends of the table too") {
    for (const auto& r : Catalogue::compiled()) {
        CAPTURE(r.designation);
        for (const auto& row : r.saturation.rows) {
            CAPTURE(row.temperature.in_celsius());
            const auto boils = bubble_temperature(r, row.bubble);
            const auto condenses = dew_temperature(r, row.dew);
            const auto full = liquid_temperature(r, row.liquid);
            REQUIRE(boils.has_value());
            REQUIRE(condenses.has_value());
            REQUIRE(full.has_value());
            CHECK(boils->in_kelvin() == doctest::Approx(row.temperature.in_kelvin()).epsilon(1e-10));
            CHECK(condenses->in_kelvin() == doctest::Approx(row.temperature.in_kelvin()).epsilon(1e-10));
            CHECK(full->in_kelvin() == doctest::Approx(row.temperature.in_kelvin()).epsilon(1e-10));
        }
    }
}

TEST_CASE("outside the table the answer is a side and the range, and in words both") {
    using Side = OutsideTable::Side;
    const auto& r = *Catalogue().find("R-448A");
    CHECK(saturation_at(r, Temperature::celsius(75.001)).error().side == Side::hotter);
    CHECK(saturation_at(r, Temperature::celsius(-60.001)).error().side == Side::colder);
    CHECK(saturation_at(r, Temperature::celsius(75)).has_value());
    CHECK(saturation_at(r, Temperature::celsius(-60)).has_value());
    CHECK_FALSE(saturation_at(r, Temperature::celsius(std::nan(""))).has_value());
    CHECK(bubble_temperature(r, AbsolutePressure::kilopascals(5000)).error().side == Side::hotter);
    CHECK(bubble_temperature(r, AbsolutePressure::kilopascals(1)).error().side == Side::colder);
    CHECK(bubble_temperature(r, AbsolutePressure::kilopascals(0)).error().side == Side::colder);
    CHECK_FALSE(bubble_temperature(r, AbsolutePressure::kilopascals(std::nan(""))).has_value());
    CHECK(dew_temperature(r, AbsolutePressure::kilopascals(5000)).error().side == Side::hotter);
    // The range of the two differs: 40 kPa is dew of something, bubble of nothing in the table.
    CHECK(dew_temperature(r, AbsolutePressure::kilopascals(40)).has_value());
    CHECK_FALSE(bubble_temperature(r, AbsolutePressure::kilopascals(40)).has_value());
    CHECK(liquid_temperature(r, Density::kg_per_m3(100)).error().side == Side::hotter);
    CHECK(liquid_temperature(r, Density::kg_per_m3(2000)).error().side == Side::colder);

    const auto hot = outside_table(r, saturation_at(r, Temperature::celsius(80)).error());
    CHECK(hot.name == "saturation-range");
    CHECK(hot.kind == ErrorKind::refused);
    CHECK(hot.what == "the table of R-448A ends there: nothing above 75.0 C (167.0 F) is computed");
    CHECK(hot.expected == "-60.0 to 75.0 C (-76.0 to 167.0 F)");
    const auto& co2 = *Catalogue().find("R-744");
    CHECK(
        outside_table(co2, saturation_at(co2, Temperature::celsius(40)).error()).what ==
        "the table of R-744 ends there: nothing above 28.9 C (84.0 F) is computed, and above 31.0 C it has no liquid");
    const auto& none = *Catalogue().find("R-401B");
    CHECK(saturation_at(none, Temperature::celsius(25)).error().side == Side::no_table);
    CHECK(outside_table(none, bubble_temperature(none, AbsolutePressure::kilopascals(500)).error()).name ==
          "saturation-no-table");
    CHECK(outside_table(none, liquid_temperature(none, Density::kg_per_m3(1000)).error()).name ==
          "saturation-no-table");
}

namespace {

SaturationRow row(double c, double bubble, double dew, double liquid, double vapor) {
    return {Temperature::celsius(c), AbsolutePressure::kilopascals(bubble), AbsolutePressure::kilopascals(dew),
            Density::kg_per_m3(liquid), Density::kg_per_m3(vapor)};
}

}  // namespace

TEST_CASE("even a table with kinks has curves that are monotone, with bubble never below dew") {
    // Jumps, flat stretches and a gap that closes and opens again: no gas does this, a person's own table may.
    const std::vector<SaturationRow> rows = {row(-20, 100, 60, 1400, 2),     row(0, 100.1, 100.1, 1399.9, 30),
                                             row(5, 900, 200, 1000, 30.01),  row(10, 900.01, 900.01, 999, 30.02),
                                             row(40, 5000, 901, 998.9, 500), row(41, 5000.1, 5000.1, 400, 501)};
    const auto critical = Temperature::celsius(60);
    const auto nodes = saturation_nodes(rows, critical);
    Refrigerant odd = *Catalogue().find("R-22");
    odd.saturation = {critical, rows, nodes, {}};
    auto last = *saturation_at(odd, rows.front().temperature);
    for (int i = 1; i <= 61'000; ++i) {
        const auto now = saturation_at(odd, Temperature::celsius(-20 + i * 0.001));
        REQUIRE(now.has_value());
        REQUIRE(now->bubble >= now->dew);
        // A stretch that is flat to the last digit is allowed, a step back is not (but for the last digit).
        REQUIRE(now->bubble.in_kilopascals() >= last.bubble.in_kilopascals() * (1 - 1e-14));
        REQUIRE(now->dew.in_kilopascals() >= last.dew.in_kilopascals() * (1 - 1e-14));
        REQUIRE(now->liquid.in_kg_per_m3() <= last.liquid.in_kg_per_m3() * (1 + 1e-14));
        REQUIRE(now->vapor.in_kg_per_m3() >= last.vapor.in_kg_per_m3() * (1 - 1e-14));
        last = *now;
    }
}

TEST_CASE("each table says what it rests on, and the seven blends with estimated pairs say so") {
    std::size_t estimated = 0;
    for (const auto& r : Catalogue::compiled()) {
        if (!r.saturation.has_table()) continue;
        CAPTURE(r.designation);
        const auto& p = r.saturation.provenance;
        CHECK_FALSE(p.method.empty());
        CHECK(p.fluids.size() == r.composition.size());
        CHECK(p.pairs.size() == r.composition.size() * (r.composition.size() - 1) / 2);
        CHECK(r.cylinder->pressure_uncertainty_percent > 0);
        if (p.estimated()) ++estimated;
    }
    CHECK(estimated == 7);
    const auto& p = Catalogue().find("R-402A")->saturation.provenance;
    CHECK(p.estimated());
    CHECK(Catalogue().find("R-717")->saturation.provenance.fluids[0].equation ==
          "Gao et al. (2020), J. Phys. Chem. Ref. Data");
}

TEST_CASE("nothing is extrapolated: outside the rows there is no density") {
    const auto& r448a = *Catalogue().find("R-448A");
    CHECK_FALSE(liquid_density(r448a, Temperature::celsius(-60.001)).has_value());
    CHECK_FALSE(liquid_density(r448a, Temperature::celsius(75.001)).has_value());
    CHECK(liquid_density(r448a, Temperature::celsius(-60)).has_value());
    CHECK(liquid_density(r448a, Temperature::celsius(75)).has_value());
    CHECK_FALSE(liquid_density(r448a, Temperature::celsius(std::nan(""))).has_value());
    CHECK_FALSE(liquid_density(*Catalogue().find("R-508B"), Temperature::celsius(25)).has_value());
    CHECK_FALSE(liquid_density(*Catalogue().find("R-401B"), Temperature::celsius(25)).has_value());
}

TEST_CASE("liquid-full is where the liquid has the density of the fill, and says when that is out of range") {
    const auto& r404a = *Catalogue().find("R-404A");
    for (double c : {-59.9, -12.3, 25.0, 54.4, 69.9}) {
        const auto density = liquid_density(r404a, Temperature::celsius(c));
        REQUIRE(density.has_value());
        const auto full = liquid_temperature(r404a, *density);
        REQUIRE(full.has_value());
        CHECK(full->in_celsius() == doctest::Approx(c).epsilon(1e-9).scale(1));
    }
    const auto light = liquid_temperature(r404a, Density::kg_per_m3(300));
    REQUIRE_FALSE(light.has_value());
    CHECK(light.error().side == OutsideTable::Side::hotter);
    CHECK(light.error().high.in_celsius() == doctest::Approx(70.1));
    const auto heavy = liquid_temperature(r404a, Density::kg_per_m3(1500));
    REQUIRE_FALSE(heavy.has_value());
    CHECK(heavy.error().side == OutsideTable::Side::colder);
    CHECK(heavy.error().low.in_celsius() == -60.0);
    const auto none = liquid_temperature(*Catalogue().find("R-401B"), Density::kg_per_m3(900));
    REQUIRE_FALSE(none.has_value());
    CHECK(none.error().side == OutsideTable::Side::no_table);
}
