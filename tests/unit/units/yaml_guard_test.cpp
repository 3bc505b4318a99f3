// What each kind of text is refused for is looked at where sheets are (tests/unit/exchange/sheet_scan_test.cpp); here,
// that the guard of a document is the same guard.
#include "units/yaml_guard.hpp"

#include <doctest/doctest.h>

#include "tarebook/units/word_list.hpp"

using namespace tarebook;

namespace {
std::string told(std::string_view text) {
    FileProblems problems;
    guard_yaml(text, "f", {}, problems);
    std::string out;
    for (const auto& p : problems.listed) add_word(out, std::to_string(p.line) + ": " + p.error.what, "; ");
    return out;
}
}  // namespace

TEST_CASE("yaml guard: a document has plain keys and values, and is one") {
    CHECK(told("") == "");
    CHECK(told("\xef\xbb\xbf"
               "a: 1\r\nb: [x, \"y\"]\n") == "");
    CHECK(told("a: &b 1\n") == "1: a document takes no anchor");
    CHECK(told("a: *b\n") == "1: a document takes no alias");
    CHECK(told("a: !b 1\n") == "1: a document takes no tag");
    CHECK(told("%YAML 1.2\n") == "1: a document takes no directive");
    CHECK(told("a: 1\n---\nb: 2\n") == "2: one file is one document; here another begins");
    CHECK(told("a: \xff\n") == "1: the text is not UTF-8");
    CHECK(told("a: \x01\n") == "1: a control character stands in the text");
    CHECK(told("a: " + std::string(4093, 'x') + "\n") == "");
    CHECK(told("a: " + std::string(4094, 'x') + "\n") == "1: the line is too long");
    CHECK(told("a: " + std::string(15, '[') + std::string(15, ']') + "\n") == "");
    CHECK(told("a: " + std::string(16, '[') + std::string(16, ']') + "\n") ==
          "1: lists and keys are nested too deeply");
}

TEST_CASE("yaml guard: a text in quotes is one line that YAML reads back") {
    CHECK(in_yaml_quotes("5/8\" pipe, C:\\x") == R"("5/8\" pipe, C:\\x")");
    CHECK(in_yaml_quotes("a\nb\x1b\x7f") == "\"a b  \"");
    CHECK(told("k: " + in_yaml_quotes("a: [\"&x\"]\n---\n") + "\n") == "");
}
