#include <doctest/doctest.h>

#include <limits>
#include <stdexcept>

#include "tarebook/ledger/ledger.hpp"
#include "tarebook/units/broken_promise.hpp"

using namespace tarebook;

namespace {

CylinderState full_state() {
    CylinderState s;
    s.lots = {{{"R-22", "Oak Foods", Condition::virgin}, Mass::from_count(std::numeric_limits<std::int64_t>::max())},
              {{"R-404A", "shop", Condition::reclaimed}, Mass::from_count(-1)}};
    s.lots_when_lost = {{{"unknown", "", Condition::recovered}, Mass::pounds(3)}};
    s.gross = Mass::from_count(std::numeric_limits<std::int64_t>::min());
    s.gone = s.lost = s.condemned = s.leaking = s.reclaim_only = s.mixed = true;
    s.spoiled = "burnt-out";
    s.place = "Kühlhaus; van 2";
    s.held_for = std::string("a\0b", 3);
    return s;
}

}  // namespace

TEST_CASE("state: packed and unpacked it is the same, at the ends of the range too") {
    CHECK(unpacked(packed(full_state())) == full_state());
    CHECK(unpacked(packed(CylinderState{})) == CylinderState{});
}

TEST_CASE("state: each flag has a bit of its own") {
    bool CylinderState::*const flags[] = {&CylinderState::gone,         &CylinderState::lost,
                                          &CylinderState::condemned,    &CylinderState::leaking,
                                          &CylinderState::reclaim_only, &CylinderState::mixed};
    for (const auto flag : flags) {
        CylinderState s;
        s.*flag = true;
        CHECK(unpacked(packed(s)) == s);
        CHECK(packed(s) != packed(CylinderState{}));
    }
}

TEST_CASE("state: bytes that were cut off anywhere, or go on, are refused") {
    const auto bytes = packed(full_state());
    for (std::size_t n = 0; n < bytes.size(); ++n) {
        CAPTURE(n);
        CHECK_THROWS_AS(unpacked(bytes.substr(0, n)), BrokenPromise);
    }
    CHECK_THROWS_AS(unpacked(bytes + '\0'), BrokenPromise);
}

TEST_CASE("state: a length that the bytes cannot hold is refused, not tried") {
    CHECK_THROWS_AS(unpacked(std::string("\x00\xfe\xff\xff\xff\xff\xff\xff\xff\x7f", 10)), BrokenPromise);
    CHECK_THROWS_AS(unpacked(std::string(12, '\xff')), BrokenPromise);
}

TEST_CASE("accounts: each kind has a word that leads back to it") {
    for (int i = 0; i <= static_cast<int>(AccountKind::reclassified); ++i) {
        const auto kind = static_cast<AccountKind>(i);
        CHECK(account_kind_from(text_of(kind)) == kind);
    }
    CHECK_FALSE(account_kind_from("circuits").has_value());
}
