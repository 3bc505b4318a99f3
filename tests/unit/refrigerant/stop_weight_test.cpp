#include <doctest/doctest.h>

#include <stdexcept>

#include "tarebook/refrigerant/fill_limit.hpp"
#include "tarebook/units/broken_promise.hpp"

using namespace tarebook;

namespace {

Mass lb(const char* typed) {
    const bool negative = typed[0] == '-';
    const Mass mass = parse_weight(negative ? typed + 1 : typed, ScaleReads::lb).value().mass;
    return negative ? -mass : mass;
}

}  // namespace

TEST_CASE("stop and slow-down are rounded down to the scale's division; room is the stop less what is there") {
    struct Row {
        const char* limit;
        const char* tare;
        const char* now;
        const char* division;
        const char* gross;
        const char* slow;
        const char* stop;
        const char* room;
    };
    const Row rows[] = {
        // 3 % of 39.806 lb is 1.19 lb
        {"39.806", "27.5", "31.2", "0.05", "67.306", "66.10", "67.30", "36.10"},
        // 1 lb where 3 % is less
        {"22.24", "17.1", "17.1", "0.05", "39.34", "38.30", "39.30", "22.20"},
        {"38.08", "27.5", "47.6", "0.5", "65.58", "64.0", "65.5", "17.9"},
        // exactly on a division stays there
        {"38.00", "27.5", "27.5", "0.5", "65.5", "64.0", "65.5", "38.0"},
        // overfilled: room is negative
        {"18.26", "17.3", "43.0", "0.05", "35.56", "34.55", "35.55", "-7.45"},
        // a reading between divisions and the room are the stop weight together
        {"10.9", "0", "0.5", "1", "10.9", "9", "10", "9.5"},
        {"10.9", "0", "10.5", "1", "10.9", "9", "10", "-0.5"},
    };
    for (const auto& row : rows) {
        CAPTURE(row.limit);
        CAPTURE(row.now);
        const auto w = stop_weights(lb(row.limit), lb(row.tare), lb(row.now), lb(row.division));
        CHECK(w.limit_gross == lb(row.gross));
        CHECK(w.slow_gross == lb(row.slow));
        CHECK(w.stop_gross == lb(row.stop));
        CHECK(w.room == lb(row.room));
    }
}

TEST_CASE("a division of nothing is a mistake of the caller") {
    CHECK_THROWS_AS(stop_weights(lb("10"), lb("5"), lb("5"), Mass()), BrokenPromise);
}
