// The rows of the tables are in tests/reference; here is what the text leaves open, and where rules meet.
#include <doctest/doctest.h>

#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/rules/leak_check.hpp"
#include "tarebook/rules/rulebook.hpp"

using namespace tarebook;

namespace leak_check_test {

namespace {
const RulePack* const eu[] = {Rulebook().find("eu-2024-573")};
const Date today = parse_date("2026-06-01").value();

LeakCheckNeed of(const char* refrigerant, double kg, bool hermetic = false, bool residential = false) {
    return leak_check_need(eu, {Catalogue().find(refrigerant), Mass::from_kilograms(kg), false, hermetic, residential},
                           today);
}
}  // namespace

TEST_CASE("leak check: a hermetic blend with 2 kg of unsaturated gas is checked: the cautious reading") {
    CHECK(of("R-454C", 3.0, true).every == Period{12, Period::Unit::month});
    // Below both limits: exempt, by the rule that is named.
    const auto exempt = of("R-454C", 2.0, true);
    CHECK_FALSE(exempt.every);
    CHECK(exempt.match->rule->id == "eu-2024-573.exempt-hermetic");
    CHECK(of("R-454C", 2.0, false).every == Period{12, Period::Unit::month});
}

TEST_CASE("leak check: hermetic equipment in a home is exempt below 3 kg") {
    CHECK_FALSE(of("R-410A", 2.9, true, true).every);
    CHECK(of("R-404A", 3.0, true, true).every);
    CHECK(of("R-404A", 2.9, true, false).every);
    CHECK_FALSE(of("R-404A", 2.9, true, true).every);
}

TEST_CASE("leak check: a tier that rests on memory says so, the same interval by tonnes does not") {
    CHECK(of("R-454C", 30).match->status() == RuleStatus::to_confirm);
    CHECK(of("R-404A", 12.8).match->status() != RuleStatus::to_confirm);
}

}  // namespace leak_check_test
