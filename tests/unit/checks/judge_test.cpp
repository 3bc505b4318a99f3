#include <algorithm>

#include "shop.hpp"

using namespace shop;

TEST_CASE("a finding that was taken on keeps its severity, the reason and the figures it had then") {
    Shop s;
    auto e = s.recover("OAK/RACK-B/4", "RC-1", "17.00", "60.00");
    e.anyway = "the scale was read late";
    e.accepted = {{"fill-limit", "RC-1", "RC-1 would hold 43.00 lb, over its limit of 30.00 lb (as it was)"}};
    const auto found = s.judge(e).findings;
    REQUIRE(found.size() == 1);
    CHECK(found[0].severity == Severity::refusal);
    CHECK(found[0].accepted == "the scale was read late");
    CHECK(found[0].text == "RC-1 would hold 43.00 lb, over its limit of 30.00 lb (as it was)");
    CHECK(found[0].seen == "60.00 lb gross after, tare 17.00 lb");
}

TEST_CASE("what was taken on stays listed as an exception when it would no longer be found") {
    Shop s;
    auto e = s.recover("OAK/RACK-B/4", "RC-1", "17.00", "30.00");
    e.anyway = "read late";
    e.accepted = {{"fill-limit", "RC-1", "as it was"}};
    const auto found = s.judge(e).findings;
    REQUIRE(found.size() == 1);
    CHECK(found[0].check == "fill-limit");
    CHECK(found[0].subject == "RC-1");
    CHECK(found[0].severity == Severity::exception);
    CHECK(found[0].text == "as it was");
    CHECK(found[0].accepted == "read late");
}

TEST_CASE("a reason is for the cylinder that it named, not for another one") {
    Shop s;
    auto e = s.recover("OAK/RACK-B/4", "RC-1", "17.00", "60.00");
    e.anyway = "read late";
    e.accepted = {{"fill-limit", "RC-7", "as it was"}};
    const auto found = s.judge(e).findings;
    REQUIRE(found.size() == 2);
    CHECK(found[0].subject == "RC-1");
    CHECK(found[0].accepted.empty());
    CHECK(found[1].subject == "RC-7");
}

TEST_CASE("two gaps of one cylinder in one event are taken on one by one") {
    Shop s;
    s.jug("J-1");
    auto e = s.charge("J-1", "OAK/RACK-B/4", "29.00", "10.00");
    std::get<kinds::Charge>(e.what).emptied = true;
    auto found = s.judge(e).findings;
    REQUIRE(found.size() == 2);
    e.anyway = "the jug is empty";
    e.accepted = {{"gap", "J-1", found[1].text}};
    found = s.judge(e).findings;
    REQUIRE(found.size() == 2);
    CHECK(found[0].accepted.empty());
    CHECK(found[1].accepted == "the jug is empty");
}

TEST_CASE("an accepted line without a reason counts for nothing") {
    Shop s;
    auto e = s.recover("OAK/RACK-B/4", "RC-1", "17.00", "30.00");
    e.accepted = {{"fill-limit", "RC-1", "as it was"}};
    CHECK(s.judge(e).findings.empty());
}

TEST_CASE("a late entry that explains a gap ends it") {
    Shop s;
    s.take(s.recover("OAK/RACK-B/4", "RC-1", "17.00", "30.00"));
    const auto late = s.reuse("RC-1", "OAK/RACK-B/4", "30.00", "25.00");
    const auto weighed = s.weigh("RC-1", "25.00");
    CHECK(s.judge(weighed).findings.size() == 1);
    s.take(late);
    CHECK(s.judge(weighed).findings.empty());
}
