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
    CHECK(mass_text_down(stop, DisplayUnits::kg) == "19.595 kg");
    CHECK(mass_text_up(stop, DisplayUnits::kg) == "19.596 kg");
    const Mass kilograms = Mass::from_count(20 * 1000 * Mass::counts_per_gram);  // 44.092452... lb
    CHECK(mass_text_down(kilograms, DisplayUnits::lb) == "44.092 lb");
    CHECK(mass_text_up(kilograms, DisplayUnits::lb) == "44.093 lb");
    CHECK(mass_text_down(-stop, DisplayUnits::kg) == "-19.596 kg");
}
