#include "report/additions.hpp"

#include <doctest/doctest.h>

using namespace tarebook;
using namespace tarebook::report;

namespace {

Date day(int d) {
    return Date(std::chrono::days(20'000 + d));
}
// Positive into the circuit, as the book gives it.
Flow flow(const char* circuit, const char* kind, std::optional<std::string> job, int on, int thousandths,
          const char* refrigerant = "R-448A") {
    return {circuit, 0, kind, std::move(job), day(on), refrigerant, Mass::thousandths_of_a_pound(thousandths)};
}
constexpr const char* c4 = "OAK/RACK-B/4";
constexpr const char* c5 = "OAK/RACK-B/5";
Mass lb(int thousandths) {
    return Mass::thousandths_of_a_pound(thousandths);
}
Mass added_to(std::string_view appliance, const std::vector<Addition>& additions) {
    Mass sum;
    for (const auto& one : additions)
        if (one.appliance == appliance) sum += one.mass;
    return sum;
}

}  // namespace

TEST_CASE("additions: a charge taken out and put back is none") {
    CHECK(additions({flow(c4, "recover", "7", 1, -13'650), flow(c4, "reuse", "7", 1, 13'650)}, day(0), day(9)).empty());
}

TEST_CASE("additions: what is put in beyond what was taken out counts, over all circuits of the appliance") {
    const auto found = additions({flow(c4, "recover", "7", 1, -10'000), flow(c4, "recover", "7", 1, -3'000),
                                  flow(c5, "reuse", "7", 2, 12'000), flow(c5, "charge", "7", 2, 4'250)},
                                 day(0), day(9));
    REQUIRE(found.size() == 1);
    CHECK(found[0].appliance == "OAK/RACK-B");
    CHECK(found[0].job == "7");
    CHECK(found[0].date == day(2));
    CHECK(found[0].refrigerant == "R-448A");
    CHECK(found[0].mass == lb(3'250));
}

TEST_CASE("additions: one job's recovery does not hide another's leak") {
    const auto found =
        additions({flow(c4, "recover", "7", 1, -10'000), flow(c4, "charge", "8", 1, 6'000)}, day(0), day(9));
    REQUIRE(found.size() == 1);
    CHECK(found[0].job == "8");
    CHECK(found[0].mass == lb(6'000));
}

TEST_CASE("additions: without a job the local day is the group") {
    const std::vector<Flow> flows{flow(c4, "recover", {}, 1, -10'000), flow(c4, "reuse", {}, 1, 10'000),
                                  flow(c4, "charge", {}, 2, 1'000), flow(c4, "charge", {}, 3, 2'000)};
    const auto found = additions(flows, day(0), day(9));
    REQUIRE(found.size() == 2);
    CHECK(added_to("OAK/RACK-B", found) == lb(3'000));
}

TEST_CASE("additions: a release is information and never part of them") {
    CHECK(additions({flow(c4, "release", "7", 1, -5'000)}, day(0), day(9)).empty());
    const auto found =
        additions({flow(c4, "release", "7", 1, -5'000), flow(c4, "charge", "7", 1, 5'000)}, day(0), day(9));
    REQUIRE(found.size() == 1);
    CHECK(found[0].mass == lb(5'000));
}

TEST_CASE("additions: a job over the edge of a period is counted once, and put-back after New Year is no leak") {
    const std::vector<Flow> put_back{flow(c4, "recover", "7", 1, -10'000), flow(c4, "reuse", "7", 3, 10'000)};
    CHECK(additions(put_back, day(0), day(2)).empty());
    CHECK(additions(put_back, day(3), day(9)).empty());
    const std::vector<Flow> leak{flow(c4, "charge", "7", 1, 10'000), flow(c4, "charge", "7", 3, 5'000)};
    CHECK(added_to("OAK/RACK-B", additions(leak, day(0), day(2))) == lb(10'000));
    CHECK(added_to("OAK/RACK-B", additions(leak, day(3), day(9))) == lb(5'000));
    CHECK(added_to("OAK/RACK-B", additions(leak, day(0), day(9))) == lb(15'000));
}

TEST_CASE("sums: net is put in less taken out, with releases apart") {
    Sums sums;
    for (const auto& f : {flow(c4, "recover", "7", 1, -13'650), flow(c4, "reuse", "7", 1, 8'000),
                          flow(c4, "charge", "7", 1, 2'000), flow(c4, "release", "7", 1, -500)})
        sums.take(f);
    CHECK(sums.recovered == lb(13'650));
    CHECK(sums.put_in() == lb(10'000));
    CHECK(sums.net() == lb(-3'650));
    CHECK(sums.released == lb(500));
}

TEST_CASE("additions: what is pumped over counts in both appliances, and pumped back in the same job it is none") {
    const auto over = additions({flow(c4, "pumpdown", "7", 1, -12'000), flow("OAK/RACK-A", "pumpdown", "7", 1, 12'000)},
                                day(0), day(9));
    REQUIRE(over.size() == 1);
    CHECK(over[0].appliance == "OAK/RACK-A");
    CHECK(over[0].mass == lb(12'000));
    CHECK(additions({flow(c4, "pumpdown", "7", 1, -12'000), flow("OAK/RACK-A", "pumpdown", "7", 1, 12'000),
                     flow("OAK/RACK-A/1", "pumpdown", "7", 1, -12'000), flow("OAK/RACK-B", "pumpdown", "7", 1, 12'000)},
                    day(0), day(9))
              .empty());
}
