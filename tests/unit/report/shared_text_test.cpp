#include "report/shared_text.hpp"

#include <doctest/doctest.h>

using namespace tarebook;
using namespace tarebook::report;

namespace {

const CylinderFacts with_tare = [] {
    CylinderFacts facts;
    facts.tare = Mass::pounds(27);
    return facts;
}();

}  // namespace

TEST_CASE("words: what a cylinder holds, of whom") {
    const Content food{"R-404A", "Harbor Foods", "recovered"};
    CHECK(held(Mass::pounds(6), food, with_tare, DisplayUnits::lb) == "6.00 lb of R-404A, of Harbor Foods, recovered");
    const Content bought{"R-404A", "shop", "virgin"};
    CHECK(held(Mass::pounds(6), bought, with_tare, DisplayUnits::lb) == "6.00 lb of R-404A, of the shop, virgin");
}

TEST_CASE("words: an owner whom nobody told is not the shop") {
    CylinderState nameless;
    nameless.lots = {{{"unknown", "shop", Condition::recovered}, Mass::pounds(6)}};
    CHECK(held(Mass::pounds(6), content_of(nameless, with_tare), with_tare, DisplayUnits::lb) ==
          "6.00 lb of unknown gas, owner not on record, recovered");
    CHECK(owner_text("unknown", "shop") == "not on record");
    CHECK(owner_text("R-22", "unassigned") == "not on record");
    CHECK(owner_text("R-22", "shop") == "shop");
    const Content ownerless{"R-404A", "unassigned", "recovered"};
    CHECK(whose(ownerless) == "owner not on record, recovered");
    CHECK(owner_word(ownerless) == "not on record");
    CHECK(whose({"R-404A", {}, {}}) == "empty");
}

TEST_CASE("words: less than nothing is said as what the scale shows") {
    const Content food{"R-404A", "Harbor Foods", "recovered"};
    CHECK(held(-Mass::pounds(1), food, with_tare, DisplayUnits::lb) == "1.00 lb under its tare");
    CHECK(held(-Mass::pounds(1), food, {}, DisplayUnits::lb) == "1.00 lb below zero by the book");
}

TEST_CASE("words: one of a thing has no s") {
    CHECK(counted(1, "problem") == "1 problem");
    CHECK(counted(0, "event") == "0 events");
    CHECK(counted(2, "event") == "2 events");
}
