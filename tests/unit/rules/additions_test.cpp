// What counts as an addition: net per job, without what its definition leaves out.
#include <doctest/doctest.h>

#include "tarebook/leak_rate.hpp"

using namespace tarebook;

namespace {

Mass lb(const char* pounds) {
    return parse_weight(std::string(pounds) + "lb", ScaleReads::unknown).value().mass;
}
Date on(const char* text) {
    return parse_date(text).value();
}
ApplianceMovement in(const char* day, const char* job, const char* pounds, Reason reason = Reason::leak) {
    return {on(day), *job ? std::optional<std::string>(job) : std::nullopt, lb(pounds), reason, "", day};
}
ApplianceMovement out(const char* day, const char* job, const char* pounds, Reason reason = Reason::open) {
    auto m = in(day, job, pounds, reason);
    m.mass = -m.mass;
    return m;
}
const std::vector<Reason> excluded = {Reason::initial, Reason::conversion, Reason::seasonal};

std::vector<LeakAddition> of(const std::vector<ApplianceMovement>& movements) {
    return additions_of(movements, excluded);
}

}  // namespace

TEST_CASE("additions: a charge taken out for a valve and put back counts with its net alone") {
    const auto found = of({out("2026-03-14", "2207", "40"), in("2026-03-14", "2207", "40", Reason::put_back),
                           in("2026-03-14", "2207", "5")});
    REQUIRE(found.size() == 1);
    CHECK(found[0].mass == lb("5"));
    CHECK(found[0].sources.size() == 3);
    CHECK(of({out("2026-03-14", "2207", "40"), in("2026-03-15", "2207", "40", Reason::put_back)}).empty());
    CHECK(of({out("2026-03-14", "2207", "40"), in("2026-03-15", "2207", "39.999", Reason::put_back)}).empty());
    CHECK(of({out("2026-03-14", "2207", "40"), in("2026-03-15", "2207", "40.001")}).at(0).mass == lb("0.001"));
}

TEST_CASE("additions: two jobs are two, whatever day; without a job the day is one") {
    CHECK(of({in("2026-03-14", "A", "3"), in("2026-03-14", "B", "4")}).size() == 2);
    CHECK(of({in("2026-03-14", "", "3"), in("2026-03-14", "", "4")}).at(0).mass == lb("7"));
    CHECK(of({in("2026-03-14", "", "3"), in("2026-03-15", "", "4")}).size() == 2);
    // What one job took out does not lessen what another put in.
    CHECK(of({out("2026-03-14", "A", "10"), in("2026-03-14", "B", "4")}).at(0).mass == lb("4"));
    // A job is dated by its last movement.
    CHECK(of({in("2026-03-20", "A", "4"), out("2026-03-14", "A", "1")}).at(0).on == on("2026-03-20"));
}

TEST_CASE("additions: an initial charge and a conversion are none, and are kept as days on which gas was added") {
    for (const auto reason : {Reason::initial, Reason::conversion}) {
        const auto found = of({out("2026-01-05", "A", "80", Reason::conversion), in("2026-01-05", "A", "100", reason)});
        REQUIRE(found.size() == 1);
        CHECK_FALSE(found[0].counts());
        CHECK(found[0].excluded == lb("100"));
        CHECK(found[0].excluded_reasons == std::vector{reason});
    }
    // The same movement for a leak counts.
    CHECK(of({in("2026-01-05", "A", "100")}).at(0).counts());
}

TEST_CASE("additions: a seasonal put-in is none as far as the season took it out, in the 12 months before") {
    const auto spring = out("2026-04-10", "A", "50", Reason::seasonal);
    const auto returned = of({spring, in("2026-10-20", "B", "50", Reason::seasonal)});
    REQUIRE(returned.size() == 1);
    CHECK_FALSE(returned[0].counts());
    CHECK(returned[0].excluded == lb("50"));

    const auto more = of({spring, in("2026-10-20", "B", "53", Reason::seasonal)});
    CHECK(more.at(0).mass == lb("3"));
    CHECK(more.at(0).excluded == lb("50"));

    CHECK(of({spring, in("2027-04-10", "B", "50", Reason::seasonal)}).at(0).mass.is_zero());
    CHECK(of({spring, in("2027-04-11", "B", "50", Reason::seasonal)}).at(0).mass == lb("50"));
    // Nothing was taken out before: then all of it counts.
    CHECK(of({in("2026-10-20", "B", "50", Reason::seasonal)}).at(0).mass == lb("50"));
    // What went back once does not cover a second time.
    const auto twice =
        of({spring, in("2026-10-20", "B", "30", Reason::seasonal), in("2026-11-20", "C", "30", Reason::seasonal)});
    CHECK(twice.at(1).mass == lb("10"));
}

TEST_CASE("additions: taking out an overcharge is no addition and lessens no other job") {
    const auto found = of({out("2026-05-01", "A", "6", Reason::overcharge), in("2026-05-02", "B", "6")});
    REQUIRE(found.size() == 1);
    CHECK(found[0].mass == lb("6"));
}
