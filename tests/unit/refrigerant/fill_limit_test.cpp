#include "tarebook/refrigerant/fill_limit.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

using namespace tarebook;

namespace {

Mass pounds(const char* typed) {
    return parse_weight(typed, ScaleReads::lb).value().mass;
}

FillQuestion ask(const char* designation, const char* water = "47.6") {
    FillQuestion q;
    if (designation) {
        q.refrigerant = Catalogue().find(designation);
        REQUIRE(q.refrigerant != nullptr);
    }
    q.water_capacity = Volume::of_water(pounds(water));
    return q;
}

std::vector<std::string> rules(const FillLimits& limits) {
    std::vector<std::string> keys;
    for (const auto& c : limits.candidates) keys.push_back(c.rule);
    return keys;
}

const FillCandidate& candidate(const FillLimits& limits, const std::string& rule) {
    for (const auto& c : limits.candidates)
        if (c.rule == rule) return c;
    FAIL("no candidate " << rule);
    return limits.candidates.front();
}

bool noted(const FillLimits& limits, const std::string& words) {
    return std::any_of(limits.notes.begin(), limits.notes.end(),
                       [&](const auto& n) { return n.find(words) != std::string::npos; });
}

using Keys = std::vector<std::string>;

}  // namespace

TEST_CASE("which rules apply, and which binds, follows what is known about the content") {
    struct Row {
        const char* designation;
        std::vector<const char*> could_be;
        bool mixed;
        bool light;
        Keys rules;
        const char* binding;
    };
    const Row rows[] = {
        {"R-404A", {}, false, false, {"80-percent-at-77F", "not-liquid-full-at-131F"}, "80-percent-at-77F"},
        {"R-32", {}, false, false, {"80-percent-at-77F", "not-liquid-full-at-131F"}, "80-percent-at-77F"},
        // the 80 % rule alone would be liquid-full at 54.5 C
        {"R-125", {}, false, false, {"80-percent-at-77F", "not-liquid-full-at-131F"}, "not-liquid-full-at-131F"},
        {"R-22",
         {},
         false,
         false,
         {"filling-density", "80-percent-at-77F", "not-liquid-full-at-131F"},
         "80-percent-at-77F"},
        {"R-717", {}, false, false, {"filling-density"}, "filling-density"},
        {"R-744", {}, false, false, {"filling-density"}, "filling-density"},
        // R-13 is liquid at 77 F, though not at 131 F
        {"R-13", {}, false, false, {"filling-density", "80-percent-at-77F"}, "80-percent-at-77F"},
        {"R-500", {}, false, false, {"80-percent-at-77F", "not-liquid-full-at-131F"}, "80-percent-at-77F"},
        // no table: the rule for unknown contents stands in
        {"R-421A", {}, false, false, {"unknown-contents-65-percent"}, "unknown-contents-65-percent"},
        {"R-13B1", {}, false, false, {"filling-density", "unknown-contents-65-percent"}, "unknown-contents-65-percent"},
        {"R-601", {}, false, false, {"hydrocarbon-or-ammonia-35-percent"}, "hydrocarbon-or-ammonia-35-percent"},
        {nullptr, {"R-22", "R-404A"}, false, false, {"mixed-lightest-at-130F"}, "mixed-lightest-at-130F"},
        {nullptr, {"R-22"}, false, false, {"mixed-lightest-at-130F"}, "mixed-lightest-at-130F"},
        {"R-22", {"R-404A"}, false, false, {"mixed-lightest-at-130F"}, "mixed-lightest-at-130F"},
        // the same one named twice is one refrigerant
        {"R-404A", {"R-404A"}, false, false, {"80-percent-at-77F", "not-liquid-full-at-131F"}, "80-percent-at-77F"},
        {nullptr,
         {"R-22", "R-421A"},
         false,
         false,
         {"unknown-contents-65-percent", "mixed-lightest-at-130F"},
         "unknown-contents-65-percent"},
        // mixed with nobody knows what
        {"R-404A",
         {},
         true,
         false,
         {"mixed-lightest-at-130F", "unknown-contents-65-percent"},
         "unknown-contents-65-percent"},
        {nullptr, {}, false, false, {"unknown-contents-65-percent"}, "unknown-contents-65-percent"},
        {nullptr,
         {},
         false,
         true,
         {"unknown-contents-65-percent", "hydrocarbon-or-ammonia-35-percent"},
         "hydrocarbon-or-ammonia-35-percent"},
        {"R-404A",
         {},
         false,
         true,
         {"80-percent-at-77F", "not-liquid-full-at-131F", "hydrocarbon-or-ammonia-35-percent"},
         "hydrocarbon-or-ammonia-35-percent"},
    };
    for (const auto& row : rows) {
        auto q = ask(row.designation);
        for (const char* d : row.could_be) q.could_be.push_back(Catalogue().find(d));
        q.mixed = row.mixed;
        q.hydrocarbon_or_ammonia_suspected = row.light;
        CAPTURE((row.designation ? row.designation : "unknown"));
        CAPTURE(row.binding);
        const auto limits = fill_limits(q);
        REQUIRE(limits.has_value());
        CHECK(rules(*limits) == row.rules);
        CHECK(limits->candidates[limits->binding].rule == row.binding);
        for (const auto& c : limits->candidates) {
            CHECK(limits->net() <= c.net);
            CHECK_FALSE(c.source.empty());
            CHECK(c.source.find("safe") == std::string::npos);
        }
    }
}

TEST_CASE("a limit that is a round figure stays one: no binary rounding takes a division away") {
    CHECK(fill_limits(ask("R-717", "150"))->net() == pounds("81"));
    CHECK(fill_limits(ask("R-744", "75"))->net() == pounds("51"));
    CHECK(candidate(*fill_limits(ask("R-22", "123")), "filling-density").net == pounds("129.15"));
    CHECK(fill_limits(ask(nullptr, "47.6"))->net() == pounds("30.94"));
    // heavier than water at 130 F: the cap at 0.80 x WC
    auto q = ask(nullptr, "47.6");
    q.could_be = {Catalogue().find("R-134a")};
    CHECK(fill_limits(q)->net() == pounds("38.08"));
}

TEST_CASE("carbon dioxide takes the lowest filling density unless the mark allows more (49 CFR 173.304a table 1)") {
    struct Row {
        const char* mark;
        const char* net;
    };
    for (const auto& row : {Row{nullptr, "68"}, Row{"3AA1800", "68"}, Row{"DOT-3AA2000", "70.3"},
                            Row{"3AA2265", "73.2"}, Row{"3AA2400", "74.5"}, Row{"3AA3000", "74.5"},
                            Row{"3AL2400", "68"}, Row{"4BA400", "68"}, Row{"no mark", "68"}}) {
        auto q = ask("R-744", "100");
        if (row.mark) q.spec_mark = row.mark;
        CAPTURE((row.mark ? row.mark : ""));
        CHECK(fill_limits(q)->net() == pounds(row.net));
    }
}

TEST_CASE("the stamped limit is one candidate among the others, and the smallest binds") {
    auto q = ask("R-404A");
    q.stamped_limit_net = pounds("30");
    CHECK(fill_limits(q)->candidates[fill_limits(q)->binding].rule == "stamped-limit");
    CHECK(fill_limits(q)->net() == pounds("30"));
    q.stamped_limit_net = pounds("50");
    CHECK(fill_limits(q)->candidates[fill_limits(q)->binding].rule == "80-percent-at-77F");
    CHECK(candidate(*fill_limits(q), "stamped-limit").net == pounds("50"));
}

TEST_CASE("a gas with no liquid at 77 F and 131 F has no computed limit: the stamped one, or none") {
    for (const char* designation : {"R-23", "R-14", "R-116", "R-503", "R-508A", "R-508B"}) {
        CAPTURE(designation);
        auto q = ask(designation);
        const auto limits = fill_limits(q);
        REQUIRE_FALSE(limits.has_value());
        CHECK(limits.error().name == "fill-limit-unknown");
        CHECK(limits.error().kind == ErrorKind::refused);
        CHECK(limits.error().what.find(designation) != std::string::npos);
        CHECK(limits.error().next.find("stamped") != std::string::npos);
        q.stamped_limit_net = pounds("20");
        REQUIRE(fill_limits(q).has_value());
        CHECK(rules(*fill_limits(q)) == Keys{"stamped-limit"});
    }
    auto mixture = ask(nullptr);
    mixture.could_be = {Catalogue().find("R-404A"), Catalogue().find("R-744")};
    CHECK(fill_limits(mixture).error().what.find("R-744") != std::string::npos);
    // a suspicion adds a rule; it does not make the unknown known
    auto suspected = ask("R-23");
    suspected.hydrocarbon_or_ammonia_suspected = true;
    CHECK(fill_limits(suspected).error().name == "fill-limit-unknown");
}

TEST_CASE("without a water capacity there is no limit, and a stamped limit is above zero") {
    auto q = ask("R-404A");
    q.water_capacity = Volume::litres(0);
    CHECK(fill_limits(q).error().name == "fill-limit-water-capacity");
    q = ask("R-404A");
    q.stamped_limit_net = Mass();
    CHECK(fill_limits(q).error().name == "fill-limit-stamped");
}

TEST_CASE("the flammable one says that it is a shop rule, the non-flammable one names its guideline") {
    CHECK(candidate(*fill_limits(ask("R-454C")), "80-percent-at-77F").source.find("shop rule") != std::string::npos);
    CHECK(candidate(*fill_limits(ask("R-404A")), "80-percent-at-77F").source.find("AHRI Guideline K") == 0);
    CHECK(noted(*fill_limits(ask("R-290")), "173.304a(d)"));
    CHECK(noted(*fill_limits(ask("R-421A")), "no density on file for R-421A"));
}

TEST_CASE("a thin margin is said with its figure, a wide one is not") {
    for (const char* designation :
         {"R-404A", "R-410A", "R-507A", "R-422A", "R-434A", "R-452A", "R-143a", "R-218", "R-125"}) {
        CAPTURE(designation);
        CHECK(noted(*fill_limits(ask(designation)), "thin margin"));
    }
    CHECK(noted(*fill_limits(ask("R-410A")), "thin margin: 2.2 % more"));
    CHECK_FALSE(noted(*fill_limits(ask("R-448A")), "thin margin"));
    CHECK_FALSE(noted(*fill_limits(ask("R-134a")), "thin margin"));
    // held back by its stamp, the cylinder is far from liquid-full
    auto q = ask("R-410A");
    q.stamped_limit_net = pounds("30");
    CHECK_FALSE(noted(*fill_limits(q), "thin margin"));
}

TEST_CASE("liquid-full is told for the limit that binds, and only where the content is known") {
    const auto limits = fill_limits(ask("R-404A"));
    REQUIRE(limits->liquid_full.has_value());
    CHECK(limits->liquid_full->value().in_celsius() == doctest::Approx(57.7).epsilon(0.002));
    CHECK(fill_limits(ask("R-125"))->liquid_full->value().in_celsius() > 55.0);
    CHECK(fill_limits(ask("R-123"))->liquid_full->error().side == OutsideTable::Side::hotter);
    CHECK_FALSE(fill_limits(ask(nullptr))->liquid_full.has_value());
    CHECK_FALSE(fill_limits(ask("R-421A"))->liquid_full.has_value());
}

TEST_CASE(
    "no limit of any refrigerant alone lets its liquid fill the cylinder at 131 F (49 CFR 173.304(b), from memory)") {
    std::size_t checked = 0;
    for (const auto& r : Catalogue::compiled()) {
        CAPTURE(r.designation);
        FillQuestion q;
        q.refrigerant = &r;
        q.water_capacity = Volume::litres(20);
        const auto limits = fill_limits(q);
        const auto liquid = liquid_density(r, Temperature::celsius(55));
        if (!limits || !liquid) continue;
        CHECK(limits->net() < q.water_capacity.filled_with(*liquid));
        ++checked;
    }
    CHECK(checked == 65);
}

TEST_CASE("a hot place lowers the limit to 80 % of what is liquid there; a cool one changes nothing") {
    auto hot = ask("R-404A");
    hot.stored_at = Temperature::fahrenheit(130);
    const auto limits = fill_limits(hot).value();
    CHECK(limits.candidates[limits.binding].rule == "80-percent-where-stored");
    // Trade practice table 2.4, example 6: 0.8 x 47.6 x 0.8653 = 32.95 lb
    CHECK(limits.net().in_pounds() == doctest::Approx(32.95).epsilon(0.001));
    auto cool = ask("R-404A");
    cool.stored_at = Temperature::fahrenheit(77);
    CHECK(fill_limits(cool)->candidates.size() == fill_limits(ask("R-404A"))->candidates.size());
}

TEST_CASE("where nothing is liquid any more there is no limit to compute, and the error says so") {
    auto hot = ask("R-410A");
    hot.stored_at = Temperature::fahrenheit(170);
    CHECK(fill_limits(hot).error().name == "fill-limit-stored-at");
}

TEST_CASE("ammonia in a hot place must only not be liquid-full there") {
    auto hot = ask("R-717");
    hot.stored_at = Temperature::fahrenheit(160);
    bool found = false;
    const auto limits = fill_limits(hot).value();
    for (const auto& c : limits.candidates) found = found || c.rule == "not-liquid-full-where-stored";
    CHECK(found);
    CHECK(limits.candidates[limits.binding].rule == "not-liquid-full-where-stored");
}

TEST_CASE("mixed contents in a hot place are judged at that temperature") {
    FillQuestion mixed;
    mixed.could_be = {Catalogue().find("R-22"), Catalogue().find("R-404A")};
    mixed.water_capacity = ask("R-22").water_capacity;
    const auto usual = fill_limits(mixed).value().net();
    mixed.stored_at = Temperature::fahrenheit(150);
    CHECK(fill_limits(mixed).value().net() < usual);
}

// Outside the acts of the United States the physics stays: 80 % of the liquid at 25 C, vapour left at 55 C.
TEST_CASE("outside the United States no limit names its rules, and the figures that hold everywhere stay") {
    auto q = ask("R-404A");
    const auto at_home = fill_limits(q).value();
    q.us_transport = false;
    q.units = DisplayUnits::kg;
    const auto elsewhere = fill_limits(q).value();
    CHECK(rules(elsewhere) == rules(at_home));
    CHECK(elsewhere.net() == at_home.net());
    for (const auto& c : elsewhere.candidates) {
        CAPTURE(c.source);
        CHECK(c.source.find("CFR") == std::string::npos);
        CHECK(c.source.find(" F") == std::string::npos);
    }
    q = ask("R-290");
    q.us_transport = false;
    CHECK_FALSE(noted(fill_limits(q).value(), "CFR"));
    // the table of filling densities is one of the United States: ammonia falls back to the physics of its liquid
    q = ask("R-717");
    CHECK(rules(fill_limits(q).value()) == Keys{"filling-density"});
    q.us_transport = false;
    CHECK(rules(fill_limits(q).value()) == Keys{"80-percent-at-77F", "not-liquid-full-at-131F"});
}

// ADR P200, from memory: 95 % of the density at 50 C, and not liquid-full at 60 C.
TEST_CASE("a rule of transport is taken where no maximum is stamped, the smaller of its two figures") {
    auto q = ask("R-134a");
    q.us_transport = false;
    q.transport = FillForTransport{0.95, Temperature::celsius(50), Temperature::celsius(60), "ADR P200"};
    q.units = DisplayUnits::kg;
    const auto limits = fill_limits(q).value();
    // R-134a: 1102 kg/m3 at 50 C, 1053 at 60 C (property tables, from memory): 0.95 x 1102 is less
    const auto litres = q.water_capacity.in_litres();
    CHECK(candidate(limits, "transport-fill").net.in_kilograms() ==
          doctest::Approx(0.95 * 1.102 * litres).epsilon(0.003));
    CHECK(candidate(limits, "transport-fill").source.find("ADR P200: 0.95 x ") == 0);
    q.refrigerant = Catalogue().find("R-410A");  // near its critical point the second one is less
    CHECK(candidate(fill_limits(q).value(), "transport-fill").source.find("not liquid-full at 60 C") !=
          std::string::npos);
    q.stamped_limit_net = pounds("20");
    CHECK(rules(fill_limits(q).value()) == Keys{"80-percent-at-77F", "not-liquid-full-at-131F", "stamped-limit"});
    q.stamped_limit_net.reset();
    q.refrigerant = Catalogue().find("R-744");
    q.transport->density_at = Temperature::celsius(50);
    const auto gas = fill_limits(q);
    CHECK((!gas || noted(*gas, "no figure by it")));
}

TEST_CASE("a limit is named and its source worded in the degrees of the person") {
    auto q = ask("R-404A");
    CHECK(candidate(fill_limits(q).value(), "80-percent-at-77F").source.find("at 77 F") != std::string::npos);
    q.units = DisplayUnits::kg;
    CHECK(candidate(fill_limits(q).value(), "80-percent-at-77F").source.find("at 25 C") != std::string::npos);
    CHECK(limit_name("80-percent-at-77F", DisplayUnits::kg) == "80-percent-at-25C");
    CHECK(limit_name("not-liquid-full-at-131F", DisplayUnits::kg) == "not-liquid-full-at-55C");
    CHECK(limit_name("80-percent-at-77F", DisplayUnits::lb) == "80-percent-at-77F");
    CHECK(limit_name("stamped-limit", DisplayUnits::kg) == "stamped-limit");
}
