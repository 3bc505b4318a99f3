#include "report/year_pictures.hpp"

#include <doctest/doctest.h>

#include "report/year_view.hpp"

using namespace tarebook;
using namespace tarebook::report;

namespace year_pictures_test {

constexpr auto lb = DisplayUnits::lb;

Date day(const char* text) {
    return parse_date(text).value();
}
bool has(const std::string& text, std::string_view part) {
    return text.find(part) != std::string::npos;
}
std::vector<double> numbers_after(const std::string& svg, const std::string& mark) {
    std::vector<double> out;
    const auto at = svg.find(mark) + mark.size();
    auto rest = svg.substr(at, svg.find('"', at) - at);
    for (auto& c : rest)
        if (c == ',') c = ' ';
    for (std::size_t used = 0; !rest.empty(); rest.erase(0, used + 1)) {
        out.push_back(std::stod(rest, &used));
        if (used >= rest.size()) break;
    }
    return out;
}

TEST_CASE("stock through a year: what was there before, each day that changed it, and the year's end once it is over") {
    const YearScope all;
    StockWatch watch(all, day("2026-01-01"), day("2026-12-31"));
    const auto moved = [](const char* gas, std::int64_t pounds) {
        YearMovement m;
        m.refrigerant = gas, m.owner = "shop", m.stock = Mass::pounds(pounds);
        return std::vector<YearMovement>{m};
    };
    watch.see(day("2025-11-01"), moved("R-22", 50));
    watch.see(day("2025-12-01"), moved("R-32", 9));
    watch.see(day("2026-03-02"), moved("R-22", 25));
    watch.see(day("2026-03-02"), moved("R-22", 5));
    watch.see(day("2026-07-01"), moved("R-22", -60));
    CHECK(watch.until() == day("2026-07-01"));
    auto gases = watch.gases();
    REQUIRE(gases.size() == 2);
    CHECK(gases.at("R-22").at_start == Mass::pounds(50));
    CHECK(gases.at("R-22").after ==
          std::map<Date, Mass>{{day("2026-03-02"), Mass::pounds(80)}, {day("2026-07-01"), Mass::pounds(20)}});
    CHECK(gases.at("R-32").at_start == Mass::pounds(9));

    const auto picture = stock_picture(gases, std::chrono::year(2026), watch.until(), lb);
    REQUIRE(picture);
    CHECK(picture->width == 360);
    CHECK(has(picture->told, "R-22 50.00 lb at the start, 80.00 lb at most, 20.00 lb at last; R-32 9.00 lb"));
    CHECK(has(picture->svg, ">R-22, 20.00 lb at last<"));
    const auto path = numbers_after(picture->svg, "class=\"path\" points=\"");
    CHECK(path.front() == doctest::Approx(8));
    CHECK(path[path.size() - 2] < 190);  // half of the year
    for (std::size_t i = 0; i < path.size(); i += 2) CHECK((path[i] >= 8 && path[i] <= 352));
    watch.see(day("2027-01-05"), moved("R-22", 1000));
    CHECK(watch.until() == day("2026-12-31"));
    CHECK(watch.gases().at("R-22").after.size() == 2);
}

TEST_CASE("stock through a year: an owner's page has nothing of another") {
    YearScope scope;
    scope.owner = "Ann B";
    StockWatch watch(scope, day("2026-01-01"), day("2026-12-31"));
    YearMovement m;
    m.refrigerant = "R-22", m.owner = "shop", m.stock = Mass::pounds(3);
    watch.see(day("2026-03-02"), {m});
    CHECK(watch.gases().empty());
    CHECK(!stock_picture(watch.gases(), std::chrono::year(2026), watch.until(), lb));
}

TEST_CASE("additions by month: each month from the first to the last, a dash where there was none; years where many") {
    const auto added = [](const char* on, std::int64_t pounds, const char* gas = "R-22") {
        return Addition{"OAK/A", std::nullopt, day(on), gas, Mass::pounds(pounds)};
    };
    const std::vector<Addition> some{added("2026-02-03", 4), added("2026-02-20", 1), added("2026-04-01", 10),
                                     added("2026-04-01", 7, "R-32")};
    auto picture = additions_by_month("R-22", some, lb);
    REQUIRE(picture);
    CHECK(picture->title == "Additions of R-22 by month");
    CHECK(picture->told == "2026-02 5.00 lb, 2026-04 10.00 lb");
    CHECK(has(picture->svg, ">2026-03<"));
    CHECK(has(picture->svg, ">-<"));
    CHECK(!has(picture->svg, "7.00 lb"));
    // the longest bar leaves its figure room within 360
    const auto at = picture->svg.find(">10.00 lb<");
    const auto x = picture->svg.rfind(" x=\"", at);
    CHECK(std::stod(picture->svg.substr(x + 4)) + 84 <= 360);
    picture = additions_by_month("R-22", {added("2020-02-03", 4), added("2026-02-20", 1)}, lb);
    REQUIRE(picture);
    CHECK(picture->title == "Additions of R-22 by year");
    CHECK(picture->told == "2020 4.00 lb, 2026 1.00 lb");
    CHECK(!additions_by_month("R-410A", some, lb));
}

}  // namespace year_pictures_test
