// What counts as an addition: net per job, without what its definition leaves out.
#include <doctest/doctest.h>

#include "tarebook/rules/leak_rate.hpp"

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
    return sorted(movements, excluded).additions;
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

// Own reading: what was taken out for a repair is no loss, so that its return is no "addition" of 40 CFR 82.152.
TEST_CASE(
    "additions: what was taken out for a repair is put back by another job or by none, and what exceeds it counts") {
    const auto taken = out("2026-02-02", "3", "25");
    CHECK(of({taken, in("2026-02-09", "4", "25", Reason::put_back)}).empty());
    CHECK(of({taken, in("2026-02-09", "", "25", Reason::put_back)}).empty());
    const auto more = of({taken, in("2026-02-09", "4", "27.5", Reason::put_back)});
    REQUIRE(more.size() == 1);
    CHECK(more[0].mass == lb("2.5"));
    CHECK(more[0].put_back == lb("25"));
    CHECK(more[0].put_back_uncovered == lb("2.5"));
    CHECK(more[0].job == "4");
    // nothing comes back twice
    CHECK(of({taken, in("2026-02-09", "4", "25", Reason::put_back), in("2026-02-10", "5", "25", Reason::put_back)})
              .at(0)
              .mass == lb("25"));
    // a charge for a leak is no return; its own job's is
    CHECK(of({taken, in("2026-02-09", "4", "25")}).at(0).mass == lb("25"));
    CHECK(of({taken, in("2026-02-09", "3", "25")}).empty());
    // the job that took it out has it back once
    const auto topped = of({taken, in("2026-02-03", "4", "25", Reason::put_back), in("2026-02-04", "3", "5")});
    REQUIRE(topped.size() == 1);
    CHECK(topped[0].mass == lb("5"));
    // what is out when an appliance is converted does not come back
    CHECK(of({taken, in("2026-02-05", "3", "90", Reason::conversion), in("2026-02-09", "4", "25", Reason::put_back)})
              .at(1)
              .mass == lb("25"));
}

TEST_CASE("additions: what is out for a repair is told, with the day on which the last of it was back") {
    const std::vector<ApplianceMovement> movements = {out("2026-02-02", "3", "25"), out("2026-02-03", "4", "10"),
                                                      in("2026-02-09", "5", "30", Reason::put_back)};
    const auto found = sorted(movements, excluded).taken_out;
    REQUIRE(found.size() == 2);
    CHECK(found[0].back_on == on("2026-02-09"));
    CHECK(found[0].left.is_zero());
    CHECK(found[1].mass == lb("10"));
    CHECK(found[1].left == lb("5"));
    CHECK_FALSE(found[1].back_on);
    CHECK(sorted({out("2026-02-02", "3", "25", Reason::overcharge)}, excluded).taken_out.empty());
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

// 40 CFR 82.157(k), from memory: what takes the place of purged and destroyed gas is no addition, and no first charge.
TEST_CASE("additions: what replaces purged gas does not count, and the day last added is not that day") {
    const auto found = sorted({in("2026-05-01", "A", "6", Reason::purged), in("2026-05-02", "B", "5")},
                              {Reason::initial, Reason::purged})
                           .additions;
    REQUIRE(found.size() == 2);
    CHECK_FALSE(found[0].counts());
    CHECK(found[0].excluded == lb("6"));
    CHECK_FALSE(found[0].has_first_charge());
    CHECK(found[1].mass == lb("5"));
}
