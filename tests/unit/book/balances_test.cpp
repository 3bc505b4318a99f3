#include "book/balances.hpp"

#include <doctest/doctest.h>

#include <tuple>

using namespace tarebook;

TEST_CASE("balances are summed by account and lot, and told in their order") {
    Balances balances;
    balances.add(1'000'000, 2, Mass::from_count(5));
    balances.add(7, 9, Mass::from_count(1));
    balances.add(7, 3, Mass::from_count(2));
    balances.take(7, 9, Mass::from_count(1));
    balances.add(7, 9, Mass::from_count(-3));
    balances.add(-1, 3, Mass::from_count(8));  // an account that the book does not have
    std::vector<std::tuple<std::int64_t, std::int64_t, std::int64_t, std::int64_t>> told;
    balances.each([&](std::int64_t account, std::int64_t lot, const Balances::Sum& sum) {
        told.emplace_back(account, lot, sum.mass.value().count(), sum.postings);
    });
    CHECK(told == decltype(told){{0, 3, 8, 1}, {7, 3, 2, 1}, {7, 9, -3, 1}, {1'000'000, 2, 5, 1}});
    balances.clear();
    balances.each([&](std::int64_t, std::int64_t, const Balances::Sum&) { FAIL("nothing is left"); });
}
