#include "tarebook/units/shown_text.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace tarebook;
using namespace std::string_literals;

TEST_CASE("letters that a terminal obeys are shown (ECMA-48; UAX #9)") {
    CHECK(shown_text("plain \xc3\xa9\n\t") == "plain \xc3\xa9\n\t");
    CHECK(shown_text("a\x1b[31m") == "a\\x1b[31m");
    CHECK(shown_text("\x7f") == "\\x7f");
    CHECK(shown_text("\xc2\x9b"
                     "2J") == "\\u{9b}2J");
    CHECK(shown_text("\xe2\x80\xae") == "\\u{202e}");
    CHECK(shown_text("\xe2\x80\xaf") == "\xe2\x80\xaf");  // U+202F, a blank
    CHECK(shown_text("\xf3\xa0\x81\x81") == "\\u{e0041}");
    CHECK(shown_text("a\rb\r\n") == "a\\x0db\r\n");
    SUBCASE("bytes that are no UTF-8") {
        CHECK(shown_text("\x9b") == "\\x9b");
        CHECK(shown_text("\xc0\x9b") == "\\xc0\\x9b");
        CHECK(shown_text("\xe2\x80") == "\\xe2\\x80");
        CHECK(shown_text("\xed\xa0\x80") == "\\xed\\xa0\\x80");
    }
    SUBCASE("in JSON they mean the same") {
        CHECK(shown_text("\xe2\x80\xae", Form::json) == "\\u202e");
        CHECK(shown_text("\xf3\xa0\x81\x81", Form::json) == "\\udb40\\udc41");
    }
}

TEST_CASE("a letter whose rest comes later is waited for") {
    CHECK(unfinished_letter("abc") == 0);
    CHECK(unfinished_letter("ab\xe2\x80") == 2);
    CHECK(unfinished_letter("ab\xe2\x80\xae") == 0);
    CHECK(unfinished_letter("ab\xf0") == 1);
    CHECK(unfinished_letter("ab\r") == 1);
    CHECK(unfinished_letter("\x80\x80\x80\x80") == 0);
}

TEST_CASE("a cell is never computed, and comes back as it was (CWE-1236)") {
    const std::string cells[] = {"",
                                 "plain",
                                 "-5",
                                 "+1.25",
                                 "=1+1",
                                 "+1-2",
                                 "-x",
                                 "@SUM(1)",
                                 "\t=1",
                                 "\r=1",
                                 "'",
                                 "'=1",
                                 "''=1",
                                 "'tis",
                                 "\\u{41}",
                                 "\\\\u{",
                                 "a\x1b",
                                 "-",
                                 "=",
                                 "\xef\xbc\x9d"
                                 "1",
                                 "\xe2\x80\xae=1",
                                 "a\r\nb",
                                 "'\\u{3d}1"};
    for (const auto& text : cells) {
        CAPTURE(text);
        const auto cell = cell_text(text);
        CHECK_FALSE(is_computed(cell));
        CHECK(text_of_cell(cell) == text);
        CHECK(cell.find('\x1b') == std::string::npos);
    }
    CHECK(cell_text("-5") == "-5");
    CHECK(cell_text("=1+1") == "'=1+1");
    CHECK(cell_text("'tis") == "''tis");
    CHECK(is_computed("-5x"));
    CHECK_FALSE(is_computed("-5.0"));
}
