#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/refrigerant/spec_mark.hpp"

using namespace tarebook;

namespace {

RatingVerdict rate(std::vector<const char*> designations, const char* mark) {
    std::vector<const Refrigerant*> gases;
    for (const char* d : designations) {
        gases.push_back(Catalogue().find(d));
        REQUIRE(gases.back() != nullptr);
    }
    return pressure_rating(gases, mark);
}

}  // namespace

TEST_CASE("a cylinder is judged by what the content reaches at 131 F (49 CFR 173.301a(d)) or by the list of 173.304a") {
    struct Row {
        std::vector<const char*> gases;
        const char* mark;
        Rating rating;
    };
    const Row rows[] = {
        // R-410A needs 390 psig with its uncertainty
        {{"R-410A"}, "DOT-4BA400", Rating::suits},
        {{"R-410A"}, "DOT-4BW400", Rating::suits},
        {{"R-410A"}, "DOT-4BA260", Rating::too_low},
        {{"R-410A"}, "DOT-4BA350", Rating::too_low},
        // computed 240.6 psig, but listed at 240: the list decides
        {{"R-22"}, "DOT-4BA240", Rating::suits},
        {{"R-22"}, "4BW260", Rating::suits},
        {{"R-22"}, "4B240ET", Rating::suits},
        {{"R-22"}, "DOT-4BA225", Rating::too_low},
        // 296.3 psig and 1 % of the absolute pressure: still below 300; R-452A's 298.3 is not
        {{"R-448A"}, "4BA300", Rating::suits},
        {{"R-452A"}, "4BA300", Rating::too_low},
        // 304.1 psig with 5 % estimated parameters
        {{"R-402A"}, "4BA315", Rating::too_low},
        {{"R-402A"}, "4BA350", Rating::suits},
        // the highest-pressure candidate governs, in either order
        {{"R-134a", "R-410A"}, "4BA260", Rating::too_low},
        {{"R-410A", "R-134a"}, "4BA260", Rating::too_low},
        {{"R-134a", "R-22"}, "4BA240", Rating::suits},
        {{"R-134a", "R-401B"}, "4BA400", Rating::unknown},
        {{"R-401B", "R-410A"}, "4BA260", Rating::too_low},
        // 1800 psig class and above
        {{"R-744"}, "3AA1800", Rating::suits},
        {{"R-744"}, "3AA1500", Rating::too_low},
        {{"R-744"}, "4BA400", Rating::too_low},
        // ammonia is named in the list, and 4BA is not in its row: the pressure alone does not make it suit
        {{"R-717"}, "4AA480", Rating::suits},
        {{"R-717"}, "4BA400", Rating::unknown},
        {{"R-717"}, "4BA225", Rating::too_low},
        // no liquid at 131 F and no row in the list: pressure depends on the fill
        {{"R-23"}, "3AA1800", Rating::unknown},
        {{"R-23"}, "4BA400", Rating::too_low},
        {{"R-508B"}, "3AA2015", Rating::unknown},
        // non-refillable jug: listed for R-22; for R-134a its mark carries no service pressure
        {{"R-22"}, "DOT-39", Rating::suits},
        {{"R-134a"}, "DOT-39", Rating::unknown},
        {{"R-134a"}, "110A500W", Rating::unknown},
        {{"R-134a"}, "", Rating::unknown},
        {{"R-134a"}, "UN ISO 4706", Rating::unknown},
        {{}, "4BA400", Rating::unknown},
    };
    for (const auto& row : rows) {
        CAPTURE(row.mark);
        if (!row.gases.empty()) CAPTURE(row.gases.front());
        const auto verdict = rate(row.gases, row.mark);
        CAPTURE(verdict.why);
        CHECK(static_cast<int>(verdict.rating) == static_cast<int>(row.rating));
        CHECK_FALSE(verdict.why.empty());
        CHECK(verdict.why.find("safe") == std::string::npos);
    }
}

TEST_CASE("the service pressure that is needed counts the stated uncertainty, on the absolute pressure") {
    // R-410A: 484.1 psig at 55 C, 0.7 %: (484.1 + 0.007 x (484.1 + 14.696)) / 1.25
    CHECK(rate({"R-410A"}, "4BA400").needed->in_psig() == doctest::Approx(390.07).epsilon(1e-4));
    CHECK(rate({"R-134a", "R-410A"}, "4BA400").needed->in_psig() == doctest::Approx(390.07).epsilon(1e-4));
    CHECK_FALSE(rate({"R-508B"}, "3AA2015").needed.has_value());
}

TEST_CASE("a refusal names the gas that decides, its figure and the mark") {
    const auto why = rate({"R-134a", "R-410A"}, "DOT-4BA260").why;
    CHECK(why.find("R-410A needs 390.1 psig") != std::string::npos);
    CHECK(why.find("DOT-4BA260 has 260") != std::string::npos);
}

TEST_CASE("outside the United States the pressure decides, in bar, without its list and its clauses") {
    const auto rate_elsewhere = [](const char* gas, const char* mark) {
        const Refrigerant* const one[] = {Catalogue().find(gas)};
        return pressure_rating(one, mark, false, DisplayUnits::kg);
    };
    CHECK(rate_elsewhere("R-410A", "DOT-4BA400").rating == Rating::suits);
    CHECK(rate_elsewhere("R-410A", "DOT-4BA260").rating == Rating::too_low);
    // 240.6 psig are needed: the list of 49 CFR 173.304a, which takes it at 240, says nothing there
    CHECK(rate_elsewhere("R-22", "DOT-4BA240").rating == Rating::too_low);
    CHECK(rate_elsewhere("R-22", "Pi 0036").rating == Rating::unknown);
    for (const char* mark : {"DOT-4BA400", "DOT-4BA260", "Pi 0036", ""}) {
        const auto why = rate_elsewhere("R-410A", mark).why;
        CAPTURE(why);
        CHECK(why.find("CFR") == std::string::npos);
        CHECK(why.find("psig") == std::string::npos);
        CHECK(why.find("such as DOT") == std::string::npos);
    }
}
