#include <doctest/doctest.h>

#include "tarebook/rules/requalification.hpp"

using namespace tarebook;

namespace {
std::string ids(RulePacks packs) {
    std::string out;
    for (const auto* pack : packs) out += (out.empty() ? "" : " ") + pack->id;
    return out;
}
}  // namespace

TEST_CASE("packs of a country: its own, and those of no other") {
    CHECK(ids(packs_of_country("US")) == "us-82f us-84c us-49cfr");
    CHECK(ids(packs_of_country("")) == "us-82f us-84c us-49cfr");  // as it was before a country could be said
    CHECK(ids(packs_of_country("PR")) == "us-82f us-84c us-49cfr");
    CHECK(ids(packs_of_country("DE")) == "eu-2024-573 eu-adr-p200");
    CHECK(ids(packs_of_country("IE")) == "eu-2024-573 eu-adr-p200");
    for (const char* other : {"JP", "CA", "GB", "CH", "NO"}) CHECK(packs_of_country(other).empty());
}

TEST_CASE("packs of a country: one of a region speaks in its country alone") {
    CHECK(speaks_in(*find_rule_pack("us-ca"), "US"));
    CHECK(speaks_in(*find_rule_pack("us-ca"), ""));
    CHECK_FALSE(speaks_in(*find_rule_pack("us-ca"), "CA"));  // Canada
    CHECK_FALSE(speaks_in(*find_rule_pack("us-ca"), "DE"));
    CHECK(speaks_in(*find_rule_pack("eu-2024-573"), "FR"));
    CHECK_FALSE(speaks_in(*find_rule_pack("eu-2024-573"), "US"));
    CHECK(law_of_the_us(""));
    CHECK(law_of_the_us("GU"));
    CHECK_FALSE(law_of_the_us("DE"));
}

// ADR P200, from memory (the pack marks it so): ten years for most refrigerants, five for toxic ones.
TEST_CASE("requalification in Europe hangs on the gas that a cylinder is kept for") {
    using Answer = RequalificationDue::Answer;
    const auto on = parse_date("2026-06-01").value();
    const auto of = [&](const char* spec, const char* gas, const char* country = "DE") {
        return requalification_on_record(std::string(spec), std::string("2020-02"), {}, on, country, gas);
    };
    for (const char* mark : {"Pi", "PI 0036", "pi-0036", "\u03c0 0036"}) {
        CAPTURE(mark);
        CHECK(date_text(of(mark, "R-449A").due_on.value()) == "2030-02-28");
        CHECK(date_text(of(mark, "R-717").due_on.value()) == "2025-02-28");
        CHECK(date_text(of(mark, "").due_on.value()) == "2025-02-28");  // not on record: the shorter one
    }
    CHECK(of("Pi", "R-449A").clause == "ADR 4.1.4.1 P200");
    CHECK(of("Pi", "R-449A").match->status() == RuleStatus::to_confirm);
    // of a mark that the packs do not know nothing is said, and no period of another country stands in
    for (const char* mark : {"DOT-4BA400", "EN 13322-1", "Pip", ""}) {
        CAPTURE(mark);
        CHECK(of(mark, "R-449A").answer == Answer::unknown_type);
        CHECK_FALSE(of(mark, "R-449A").due_on);
    }
    CHECK(of("Pi", "R-449A", "JP").answer == Answer::unknown_type);
    CHECK(date_text(of("DOT-4BA400", "R-449A", "US").due_on.value()) == "2025-02-28");
    CHECK(date_text(of("unreadable", "R-449A", "").due_on.value()) == "2025-02-28");
}
