// The maximum filling densities of 49 CFR 173.304a(a)(2) Table 1 for the refrigerants of the catalogue, with the marks
// they are given for (data/filling-densities.csv): what the library has is what the table says, and nothing more.
#include <doctest/doctest.h>

#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "support/csv.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/refrigerant/fill_limit.hpp"

using namespace tarebook;
using tarebook::tests::read_csv;

namespace {

const std::string table = TAREBOOK_SOURCE_DIR "/tests/reference/data/filling-densities.csv";

std::vector<std::string> words(const std::string& text) {
    std::istringstream in(text);
    std::vector<std::string> out;
    for (std::string word; in >> word;) out.push_back(word);
    return out;
}

}  // namespace

TEST_CASE("every row of the transport table is in the catalogue, with its per cent and its marks") {
    std::map<std::string, std::size_t> grade;
    for (const auto& row : read_csv(table)) {
        CAPTURE(row["refrigerant"]);
        const auto* r = Catalogue().find(row["refrigerant"]);
        REQUIRE(r != nullptr);
        const auto n = grade[row["refrigerant"]]++;
        REQUIRE(n < r->filling_densities.size());
        const auto& ours = r->filling_densities[n];
        if (row["percent"].empty())
            CHECK_FALSE(ours.percent_of_water.has_value());
        else
            CHECK(ours.percent_of_water == row.number("percent"));
        const auto marks = words(row["marks"]);
        REQUIRE(ours.marks.size() == marks.size());
        for (std::size_t i = 0; i < marks.size(); ++i) {
            CAPTURE(marks[i]);
            const auto mark = parse_spec_mark(marks[i]);
            REQUIRE(mark.has_value());
            CHECK(ours.marks[i].type == mark->type);
            CHECK(ours.marks[i].service_psig == mark->service_psig);
        }
    }
    std::size_t named = 0;
    for (const auto& r : Catalogue::compiled()) {
        if (r.filling_densities.empty()) continue;
        ++named;
        CHECK(grade[std::string(r.designation)] == r.filling_densities.size());
    }
    CHECK(named == 10);
}

TEST_CASE("each mark of the table takes its filling density, and suits") {
    const Mass water = Mass::pounds(100);
    for (const auto& row : read_csv(table)) {
        const auto* r = Catalogue().find(row["refrigerant"]);
        for (const auto& mark : words(row["marks"])) {
            CAPTURE(row["refrigerant"]);
            CAPTURE(mark);
            const Refrigerant* one[] = {r};
            const auto verdict = pressure_rating(one, mark);
            CHECK(verdict.rating == Rating::suits);
            if (row["percent"].empty()) continue;
            FillQuestion q;
            q.refrigerant = r;
            q.water_capacity = Volume::of_water(water);
            q.spec_mark = mark;
            const auto limits = fill_limits(q);
            REQUIRE(limits.has_value());
            CHECK(limits->candidates.front().rule == "filling-density");
            CHECK(limits->candidates.front().net.in_pounds() == doctest::Approx(row.number("percent")));
        }
    }
}
