// The EU tables and the named sets of potentials, row by row: data/eu-leak-checks.csv and data/gwp-sets.csv. Each row
// names its source. The one case that the regulation leaves open (a hermetic blend with an unsaturated part of 2 kg and
// more) is in tests/unit, as a reading of ours.
#include <doctest/doctest.h>

#include <cmath>

#include "support/csv.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/rules/gwp.hpp"
#include "tarebook/rules/leak_check.hpp"
#include "tarebook/rules/rulebook.hpp"

using namespace tarebook;
using tarebook::tests::read_csv;

namespace {
const std::string data = TAREBOOK_SOURCE_DIR "/tests/reference/data/";
}

TEST_CASE("EU leak checks: every row of the table, saturated and unsaturated part judged apart") {
    const RulePack* const packs[] = {Rulebook().find("eu-2024-573")};
    const auto rows = read_csv(data + "eu-leak-checks.csv");
    CHECK(rows.size() == 32);
    for (const auto& row : rows) {
        CAPTURE(row["id"]);
        CAPTURE(row["source"]);
        LeakCheckQuestion q;
        q.refrigerant = Catalogue().find(row["refrigerant"]);
        REQUIRE(q.refrigerant);
        q.charge = parse_weight(row["charge_kg"] + "kg", ScaleReads::unknown).value().mass;
        q.detection_system = row["detection"] == "yes";
        q.hermetic_and_labelled = row["hermetic"] == "yes";
        const auto need = leak_check_need(packs, q, parse_date("2026-06-01").value());
        const auto every = need.every ? std::to_string(need.every->count) : std::string("none");
        CHECK(every == row["every_months"]);
        if (need.every) CHECK(need.every->unit == Period::Unit::month);
        if (row["t_co2e"].empty()) continue;
        REQUIRE(need.parts);
        CHECK(std::abs(need.parts->saturated.tonnes - row.number("t_co2e")) <= 0.0006);
        CHECK(need.parts->saturated.set == "eu-2024-573");
        CHECK(need.parts->unsaturated.in_kilograms() == doctest::Approx(row.number("unsaturated_kg")).epsilon(1e-4));
    }
}

TEST_CASE("GWP: every row of the sets comes out of composition and component values") {
    const auto rows = read_csv(data + "gwp-sets.csv");
    CHECK(rows.size() == 30);
    for (const auto& row : rows) {
        CAPTURE(row["id"]);
        CAPTURE(row["source"]);
        const auto* gas = Catalogue().find(row["refrigerant"]);
        REQUIRE(gas);
        const auto set = find_gwp_set(Rulebook().default_packs(), row["set"]);
        REQUIRE(set);
        CHECK(std::abs(gwp_of(*gas, *set).value - row.number("expected")) <= row.number("tolerance"));
    }
}
