#include <doctest/doctest.h>

#include <stdexcept>

#include "ledger/lots.hpp"
#include "tarebook/units/broken_promise.hpp"

using namespace tarebook;

namespace {

LotKey of(const char* owner) {
    return {"R-404A", owner, Condition::recovered};
}
Mass counts(std::int64_t n) {
    return Mass::from_count(n);
}

}  // namespace

TEST_CASE("lots: a share that does not come out even goes to the largest remainders, and nothing is lost") {
    const Lots lots{{of("a"), counts(1)}, {of("b"), counts(1)}, {of("c"), counts(1)}};
    const auto parts = pro_rata(lots, counts(2));
    CHECK(parts == Lots{{of("a"), counts(1)}, {of("b"), counts(1)}});
    // 10 by 1:2:4 is 1.43, 2.86, 5.71: one each is left for the two larger remainders
    const Lots uneven{{of("a"), counts(1)}, {of("b"), counts(2)}, {of("c"), counts(4)}};
    CHECK(pro_rata(uneven, counts(10)) == Lots{{of("a"), counts(1)}, {of("b"), counts(3)}, {of("c"), counts(6)}});
}

TEST_CASE("lots: shares of large masses do not overflow on the way") {
    const auto large = counts(std::int64_t{1} << 60);
    const Lots lots{{of("a"), large}, {of("b"), large}};
    CHECK(total(pro_rata(lots, large)) == large);
}

TEST_CASE("lots: an overdrawn lot gives nothing") {
    const Lots lots{{of("a"), counts(-5)}, {of("b"), counts(10)}};
    CHECK(pro_rata(lots, counts(4)) == Lots{{of("b"), counts(4)}});
}

TEST_CASE("lots: nothing cannot be shared by") {
    CHECK_THROWS_AS(pro_rata({}, counts(1)), BrokenPromise);
    CHECK_THROWS_AS(pro_rata({{of("a"), counts(1)}}, counts(-1)), BrokenPromise);
    CHECK(pro_rata({}, counts(0)).empty());
}

TEST_CASE("lots: a draw beyond what is there overdraws the largest lot, or the fallback of an empty cylinder") {
    Lots lots{{of("a"), counts(3)}, {of("b"), counts(7)}};
    CHECK(total(draw(lots, counts(12), of("z"))) == counts(12));
    CHECK(total(lots) == counts(-2));
    REQUIRE(lots.size() == 1);
    CHECK(lots.front().key == of("b"));

    Lots none;
    draw(none, counts(2), of("z"));
    CHECK(none == Lots{{of("z"), counts(-2)}});
}

TEST_CASE("lots: they stay in order of their keys, and none has no mass") {
    Lots lots;
    add_to(lots, of("b"), counts(2));
    add_to(lots, of("a"), counts(1));
    add_to(lots, of("c"), counts(0));
    CHECK(lots == Lots{{of("a"), counts(1)}, {of("b"), counts(2)}});
    add_to(lots, of("b"), counts(-2));
    CHECK(lots == Lots{{of("a"), counts(1)}});
}
