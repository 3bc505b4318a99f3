#include "report/table.hpp"

#include <doctest/doctest.h>

#include "report/layout.hpp"
#include "report/shared_text.hpp"

using namespace tarebook;
using namespace tarebook::report;

TEST_CASE("csv: RFC 4180: lines end in CRLF, commas, quotes and line ends are quoted, quotes doubled") {
    Csv csv({"cylinder", "text"});
    csv.row({"RC-031", "12 lb, \"cold\"\nand wet"});
    csv.row({"RC-032", ""});
    CHECK(csv.page() == "schema_version,cylinder,text\r\n2,RC-031,\"12 lb, \"\"cold\"\"\nand wet\"\r\n2,RC-032,\r\n");
}

TEST_CASE("table: numbers stand right, words left, no blanks at line ends, accents count as one") {
    Table table;
    table.column("who").column("net", Side::right).column("note");
    table.row({"Jos\xC3\xA9", "1.00 lb", ""});
    table.row({"Ann B", "10.00 lb", "x"});
    CHECK(laid_out(table.text(), 80) == "who         net  note\nJos\xC3\xA9    1.00 lb\nAnn B  10.00 lb  x\n");
}

TEST_CASE("wrapped: breaks at blanks, keeps a word that is longer than the line whole") {
    CHECK(laid_out(wrapped("one  two three", 2), 9) == "  one two\n  three\n");
    CHECK(laid_out(wrapped("a incomprehensible b", 0), 8) == "a\nincomprehensible\nb\n");
    CHECK(wrapped("", 2) == "");
    const std::string word(50, 'x');
    CHECK(laid_out(bulleted(word + " " + word), 80) == "- " + word + "\n  " + word + "\n");
}

TEST_CASE("a stop weight is rounded down and a draw-down up, in both units") {
    const Mass stop = Mass::thousandths_of_a_pound(43'200);  // 19.595190... kg
    CHECK(mass_text_down(stop, DisplayUnits::kg) == "19.59 kg");
    CHECK(mass_text_up(stop, DisplayUnits::kg) == "19.60 kg");
    const Mass kilograms = Mass::from_count(20 * 1000 * Mass::counts_per_gram);  // 44.092452... lb
    CHECK(mass_text_down(kilograms, DisplayUnits::lb) == "44.09 lb");
    CHECK(mass_text_up(kilograms, DisplayUnits::lb) == "44.10 lb");
    CHECK(mass_text_down(-stop, DisplayUnits::kg) == "-19.60 kg");
}

TEST_CASE(
    "three decimals stand where a scale gave thousandths, two where a mass was computed or comes from another unit") {
    const Mass fine = Mass::thousandths_of_a_pound(12'305);
    CHECK(mass_text(fine, DisplayUnits::lb) == "12.305 lb");
    CHECK(mass_text(Mass::thousandths_of_a_pound(12'300), DisplayUnits::lb) == "12.30 lb");
    CHECK(mass_text(fine, DisplayUnits::kg) == "5.58 kg");
    const Mass gram = Mass::from_count(5'583 * Mass::counts_per_gram);
    CHECK(mass_text(gram, DisplayUnits::kg) == "5.583 kg");
    CHECK(mass_text(gram, DisplayUnits::lb) == "12.31 lb");
    CHECK(mass_text(-gram, DisplayUnits::lb) == "-12.31 lb");
    // what a finding said stays as it was said
    CHECK(mass_text_to_thousandth(gram, DisplayUnits::lb) == "12.308 lb");
}

namespace table_test {
constexpr auto lb = DisplayUnits::lb;

Table moved_masses(std::int64_t first_thousandths) {
    Table table;
    table.column("owner").column("charged", Side::right, Figures::moved).column("net", Side::right, Figures::summed);
    table.column("test", Side::right);
    table.typed_row(
        {"shop", mass_cell(Mass::thousandths_of_a_pound(first_thousandths), lb), mass_cell(Mass(), lb), "2028-05"});
    table.typed_row({"Ann B", mass_cell(Mass(), lb), mass_cell(Mass::pounds(120), lb), "-"});
    return table;
}
}  // namespace table_test

TEST_CASE(
    "table: the unit of masses stands in the heading, what did not move is a dash, and what adds up has its sum") {
    using table_test::moved_masses;
    CHECK(laid_out(moved_masses(12'250).text(), 80) ==
          "owner  charged, lb  net, lb     test\n"
          "shop         12.25     0.00  2028-05\n"
          "Ann B            -   120.00        -\n"
          "all          12.25   120.00\n");
    // one of them is as fine as its scale: all align at the point
    CHECK(laid_out(moved_masses(12'255).text(), 80) ==
          "owner  charged, lb  net, lb     test\n"
          "shop        12.255    0.000  2028-05\n"
          "Ann B            -  120.000        -\n"
          "all         12.255  120.000\n");
}

TEST_CASE("table: away from its heading a figure has its unit") {
    CHECK(laid_out(table_test::moved_masses(12'250).text(), 20) ==
          "owner      shop\n"
          "  charged  12.25 lb\n"
          "  net      0.00 lb\n"
          "  test     2028-05\n"
          "owner      Ann B\n"
          "  net      120.00 lb\n"
          "owner      all\n"
          "  charged  12.25 lb\n"
          "  net      120.00 lb\n");
}

TEST_CASE("table: words in place of a mass leave the column its unit, other words do not; a sum says what it lacks") {
    Table table;
    table.column("cylinder").column("stop at", Side::right).column("held", Side::right, Figures::summed);
    table.typed_row({"RC-1", Cell("DO NOT FILL", ShownMass{}), mass_cell(Mass::pounds(2), table_test::lb)});
    table.typed_row({"RC-2", mass_cell(Mass::pounds(40), table_test::lb), mass_cell(std::nullopt, table_test::lb)});
    CHECK(laid_out(table.text(), 80) ==
          "cylinder       stop at, lb  held, lb\n"
          "RC-1           DO NOT FILL      2.00\n"
          "RC-2                 40.00         -\n"
          "all on record                   2.00\n");
    Table typed;
    typed.column("weight", Side::right);
    typed.typed_row({mass_cell(Mass::pounds(2), table_test::lb)});
    typed.typed_row({"35 oz"});
    CHECK(laid_out(typed.text(), 80) == " weight\n2.00 lb\n  35 oz\n");
}

TEST_CASE("table: one row needs no sum, nor do rows in which nothing moved") {
    Table table;
    table.column("gas").column("lost", Side::right, Figures::moved);
    table.typed_row({"R-22", mass_cell(Mass(), table_test::lb)});
    CHECK(laid_out(table.text(), 80) == "gas   lost, lb\nR-22         -\n");
    table.typed_row({"R-32", mass_cell(Mass(), table_test::lb)});
    CHECK(laid_out(table.text(), 80) == "gas   lost, lb\nR-22         -\nR-32         -\n");
}
