#include <doctest/doctest.h>

#include <map>
#include <string>

#include "exchange/movements_texts.hpp"

using namespace tarebook;

TEST_CASE("texts: each is kept once, short or long, and its number is told again") {
    TextPool pool;
    std::map<std::string, TextId> given;
    for (int round = 0; round < 2; ++round)
        for (int n = 0; n < 5000; ++n) {
            // lengths on both sides of what stands in the table itself, with the same beginnings
            const std::string text = std::string(static_cast<std::size_t>(n % 17), 'J') + std::to_string(n);
            const auto id = pool.add(text);
            const auto [it, fresh] = given.emplace(text, id);
            REQUIRE(it->second == id);
        }
    CHECK(pool.size() == given.size() + 1);
    for (const auto& [text, id] : given) CHECK(pool[id] == text);
    CHECK(pool.add("") == 0);
    CHECK(pool[0].empty());
}

TEST_CASE("texts: a zero byte makes another text") {
    TextPool pool;
    using namespace std::string_view_literals;
    CHECK(pool.add("ab"sv) != pool.add("ab\0"sv));
    CHECK(pool.add("ab\0"sv) != pool.add("ab\0\0"sv));
}

TEST_CASE("texts: one that is longer than a block is whole") {
    TextPool pool;
    const std::string long_one(1'000'000, 'n');
    const auto id = pool.add(long_one);
    pool.add("after");
    CHECK(pool[id] == long_one);
}
