#include "tarebook/units/word_list.hpp"

#include <doctest/doctest.h>

#include <set>

using namespace tarebook;
using Parts = std::vector<std::string_view>;

TEST_CASE("words: a list is put together with what stands between") {
    CHECK(joined(std::vector<std::string>{}) == "");
    CHECK(joined(std::vector<std::string>{"a"}) == "a");
    CHECK(joined(std::set<std::string>{"b", "a"}, " and ") == "a and b");
    CHECK(joined({"a", "", "b"}, "; ") == "a; ; b");
    CHECK(joined({"", "a"}) == ", a");
    std::string list;
    add_word(list, "a");
    add_word(list, "b", "; ");
    CHECK(list == "a; b");
}

TEST_CASE("words: a mark at the end begins no part, one in between does") {
    CHECK(split("", ',').empty());
    CHECK(split("a", ',') == Parts{"a"});
    CHECK(split("a,b", ',') == Parts{"a", "b"});
    CHECK(split("a,,b,", ',') == Parts{"a", "", "b"});
    CHECK(split(",", ',') == Parts{""});
    CHECK(split(",a", ',') == Parts{"", "a"});
}

TEST_CASE("words: a word is among others as a whole") {
    CHECK(is_among("b", "a|b|c"));
    CHECK_FALSE(is_among("", "a|b"));
    CHECK_FALSE(is_among("a|b", "a|b"));
    CHECK_FALSE(is_among("ab", "abc|b"));
}

TEST_CASE("words: blanks and tabs at the ends go, others stay") {
    CHECK(trimmed(" \ta b\t ") == "a b");
    CHECK(trimmed(" \t ").empty());
    CHECK(trimmed("").empty());
    CHECK(trimmed("\ra\n") == "\ra\n");
}
