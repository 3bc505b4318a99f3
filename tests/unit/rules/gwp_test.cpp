#include <doctest/doctest.h>

#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/rules/gwp.hpp"
#include "tarebook/rules/rulebook.hpp"

using namespace tarebook;

TEST_CASE("gwp: a set of the statute counts HFCs only, and names what it leaves out") {
    const auto set = find_gwp_set(Rulebook().default_packs(), "aim").value();
    CHECK(set.status == RuleStatus::read);
    const auto r448a = gwp_of(*Catalogue().find("R-448A"), set);
    CHECK(r448a.value == doctest::Approx(1385.80));
    CHECK(r448a.without_value == std::vector<std::string>{"R-1234yf", "R-1234ze(E)"});
    CHECK(gwp_of(*Catalogue().find("R-404A"), set).without_value.empty());
}

TEST_CASE("gwp: figures by two sets make no total") {
    const auto ton = parse_weight("1000kg", ScaleReads::unknown).value().mass;
    const auto aim = carbon_dioxide_equivalent(ton, 3921.6, "aim");
    const auto eu = carbon_dioxide_equivalent(ton, 3921.6, "eu-2024-573");
    CHECK(total({aim, aim}).value().tonnes == doctest::Approx(7843.2));
    const auto mixed = total({aim, eu});
    REQUIRE_FALSE(mixed);
    CHECK(mixed.error().name == "gwp-sets-mixed");
    CHECK(mixed.error().seen == "aim and eu-2024-573");
}

TEST_CASE("gwp: a set that nobody knows is nothing, not zero") {
    CHECK_FALSE(find_gwp_set(Rulebook().default_packs(), "ar3"));
    for (const auto* name : {"ar4", "ar5", "eu-2024-573"}) {
        CAPTURE(name);
        CHECK(find_gwp_set(Rulebook().default_packs(), name));
    }
}
