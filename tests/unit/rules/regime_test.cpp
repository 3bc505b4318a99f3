// Which leak-repair rules an appliance is under, by refrigerant, full charge, category and the date of the event.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "tarebook/rules/rulebook.hpp"

using namespace tarebook;

namespace {

using enum ApplianceCategory;

struct Row {
    const char* refrigerant;
    const char* full_charge;
    ApplianceCategory category;
    const char* date;
    const char* regimes;
};

std::string regimes(const Row& row) {
    const RuleSubject subject{Catalogue().find(row.refrigerant),
                              parse_weight(row.full_charge, ScaleReads::unknown).value().mass, row.category};
    std::string out;
    for (const auto& m : leak_repair_regimes(Rulebook().default_packs(), subject, parse_date(row.date).value())) {
        if (!out.empty()) out += ", ";
        out += m.scope->clause.substr(0, m.scope->clause.find('('));
        if (m.status() == RuleStatus::to_confirm) out += " to confirm";
    }
    return out;
}

}  // namespace

TEST_CASE("regime: one appliance is judged by each regime in its time") {
    const std::vector<Row> rows = {
        // An R-404A rack: under the rule for ozone-depleting gases for fifteen months, then under none, then its own.
        {"R-404A", "900lb", commercial_refrigeration, "2018-12-31", ""},
        {"R-404A", "900lb", commercial_refrigeration, "2019-01-01", "40 CFR 82.157"},
        {"R-404A", "900lb", commercial_refrigeration, "2020-04-09", "40 CFR 82.157"},
        {"R-404A", "900lb", commercial_refrigeration, "2020-04-10", ""},
        {"R-404A", "900lb", commercial_refrigeration, "2025-12-31", ""},
        {"R-404A", "900lb", commercial_refrigeration, "2026-01-01", "40 CFR 84.106"},
        {"R-22", "900lb", commercial_refrigeration, "2018-12-31", "40 CFR 82.156 to confirm"},
        {"R-22", "900lb", commercial_refrigeration, "2019-01-01", "40 CFR 82.157"},
        {"R-22", "900lb", commercial_refrigeration, "2026-06-01", "40 CFR 82.157"},
        // Sizes: inclusive on both sides of the line.
        {"R-22", "50lb", comfort_cooling, "2026-06-01", "40 CFR 82.157"},
        {"R-22", "49.999lb", comfort_cooling, "2026-06-01", ""},
        {"R-410A", "15lb", comfort_cooling, "2026-06-01", "40 CFR 84.106"},
        {"R-410A", "14.999lb", comfort_cooling, "2026-06-01", ""},
        {"R-410A", "40lb", residential_light_commercial_ac, "2026-06-01", ""},
        // HFOs alone are no HFC; with an HFC part they are.
        {"R-1234yf", "400lb", commercial_refrigeration, "2026-06-01", ""},
        {"R-454C", "400lb", commercial_refrigeration, "2026-06-01", "40 CFR 84.106"},
        {"R-744", "400lb", commercial_refrigeration, "2026-06-01", ""},
        // A blend with both is under both, 84.106(a)(3)(i), and no GWP is asked of a regulated substance, (a)(1).
        {"R-408A", "400lb", commercial_refrigeration, "2026-06-01", "40 CFR 82.157, 40 CFR 84.106"},
        {"R-401A", "400lb", commercial_refrigeration, "2026-06-01", "40 CFR 82.157, 40 CFR 84.106"},
        {"R-500", "400lb", commercial_refrigeration, "2026-06-01", "40 CFR 82.157, 40 CFR 84.106"},
        {"R-152a", "15lb", commercial_refrigeration, "2026-06-01", "40 CFR 84.106"},
        // A substitute that is none, by its GWP, (a)(2).
        {"R-218", "400lb", commercial_refrigeration, "2026-06-01", "40 CFR 84.106 to confirm"},
        {"R-290", "400lb", commercial_refrigeration, "2026-06-01", ""},
        {"R-717", "400lb", commercial_refrigeration, "2026-06-01", ""},
    };
    for (const auto& row : rows) {
        CAPTURE(row.refrigerant);
        CAPTURE(row.full_charge);
        CAPTURE(row.date);
        CHECK(regimes(row) == row.regimes);
    }
}

TEST_CASE("regime: what is not on record is inside no scope that asks for it") {
    const auto day = parse_date("2026-06-01").value();
    const auto* gas = Catalogue().find("R-404A");
    CHECK(leak_repair_regimes(Rulebook().default_packs(), {gas, std::nullopt, commercial_refrigeration}, day).empty());
    CHECK(leak_repair_regimes(Rulebook().default_packs(), {nullptr, Mass::pounds(900), commercial_refrigeration}, day)
              .empty());
    // Without a category the regime is known, its threshold is not.
    const RuleSubject no_category{gas, Mass::pounds(900), std::nullopt};
    CHECK(leak_repair_regimes(Rulebook().default_packs(), no_category, day).size() == 1);
    CHECK(matching<terms::LeakRateThreshold>(Rulebook().default_packs(), no_category, day).empty());
}

TEST_CASE("regime: thresholds follow category and date") {
    struct Threshold {
        const char* refrigerant;
        ApplianceCategory category;
        const char* date;
        int percent;
    };
    const std::vector<Threshold> rows = {
        {"R-22", commercial_refrigeration, "2018-06-01", 35}, {"R-22", comfort_cooling, "2018-06-01", 15},
        {"R-22", commercial_refrigeration, "2026-06-01", 20}, {"R-22", industrial_process, "2026-06-01", 30},
        {"R-22", comfort_cooling, "2026-06-01", 10},          {"R-404A", commercial_refrigeration, "2026-06-01", 20},
        {"R-404A", industrial_process, "2026-06-01", 30},     {"R-404A", refrigerated_transport, "2026-06-01", 10},
    };
    for (const auto& row : rows) {
        CAPTURE(row.refrigerant);
        CAPTURE(row.date);
        const RuleSubject subject{Catalogue().find(row.refrigerant), Mass::pounds(100), row.category};
        const auto found =
            matching<terms::LeakRateThreshold>(Rulebook().default_packs(), subject, parse_date(row.date).value());
        REQUIRE(found.size() == 1);
        CHECK(found[0].as<terms::LeakRateThreshold>().threshold == Percent::whole(row.percent));
        CHECK(found[0].as<terms::LeakRateThreshold>().compare == Comparison::over);
    }
}

TEST_CASE("regime: a site in California has the state's inspections beside the federal rules") {
    std::vector<const RulePack*> packs(Rulebook().default_packs().begin(), Rulebook().default_packs().end());
    packs.push_back(Rulebook().find("us-ca"));
    const auto every = [&](const char* full_charge) {
        const RuleSubject rack{Catalogue().find("R-404A"), parse_weight(full_charge, ScaleReads::unknown).value().mass,
                               commercial_refrigeration};
        std::string out;
        for (const auto& m : matching<terms::LeakInspection>(packs, rack, parse_date("2026-06-01").value()))
            if (m.pack->id == "us-ca") out += m.as<terms::LeakInspection>().every.text();
        return out;
    };
    CHECK(every("50lb").empty());
    CHECK(every("50.001lb") == "1 year");
    CHECK(every("199.999lb") == "1 year");
    CHECK(every("200lb") == "3 months");
    CHECK(every("1999.999lb") == "3 months");
    CHECK(every("2000lb") == "1 month");
}
