#include "units/csv_text.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

namespace {
std::string one(std::string_view text) {
    std::string out;
    CsvText(out).cell(text);
    return out;
}
}  // namespace

TEST_CASE("csv: quotes stand where RFC 4180 wants them, and nowhere else") {
    CHECK(one("plain") == "plain");
    CHECK(one("") == "");
    CHECK(one("a b") == "a b");
    CHECK(one("a,b") == "\"a,b\"");
    CHECK(one("5/8\" pipe") == "\"5/8\"\" pipe\"");
    CHECK(one("two\nlines") == "\"two\nlines\"");
    CHECK(one("Z\xc3\xbcrich") == "Z\xc3\xbcrich");
}

TEST_CASE("csv: no spreadsheet computes a cell and no terminal obeys it") {
    CHECK(one("=1+2") == "'=1+2");
    CHECK(one("=A1,B1") == "\"'=A1,B1\"");
    CHECK(one("-3.5") == "-3.5");
    CHECK(one("'quoted") == "''quoted");
    CHECK(one("\x1b[2J") == "\\u{1b}[2J");
    CHECK(one("a\rb") == "a\\u{d}b");
    CHECK(one("\xe2\x80\xae,") == "\"\\u{202e},\"");
}

TEST_CASE("csv: rows of cells, masses, numbers and digits") {
    std::string out;
    CsvText row(out);
    row.cell("a").cell(Mass::thousandths_of_a_pound(1500)).cell(std::optional<Mass>()).count(-12);
    row.hex("\x01\xff").end_row();
    row.begin_rows_with("practice");
    row.cell("").end_row();
    CHECK(out == "a,1.50,,-12,01ff\r\npractice,\r\n");
}
