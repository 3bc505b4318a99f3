#include "report/layout.hpp"

#include <doctest/doctest.h>

#include "report/table.hpp"

using namespace tarebook::report;

namespace layout_test {

Table cylinders() {
    Table table;
    table.column("cylinder").column("gross", Side::right).column("what it is kept for").column("");
    table.row({"RC-01", "37.25 lb", "the north racks of Oak Street", "x"});
    table.row({"RC-02", "8.00 lb", "", ""});
    return table;
}

TEST_CASE("layout: a table that fits is one line a row, at any width") {
    Table table;
    table.column("C", Side::right).column("gas");
    table.row({"1.0", "R-448A"});
    CHECK(laid_out(table.text(), 40) == "  C  gas\n1.0  R-448A\n");
    CHECK(laid_out("before\n" + table.text(2) + "after\n", 80) == "before\n    C  gas\n  1.0  R-448A\nafter\n");
}

TEST_CASE("layout: from sixty letters on, cells break at blanks where a table does not fit") {
    CHECK(laid_out(cylinders().text(), 60) ==
          "cylinder     gross  what it is kept for\n"
          "RC-01     37.25 lb  the north racks of Oak Street  x\n"
          "RC-02      8.00 lb\n");
    auto wide = cylinders();
    wide.row({"RC-03", "1.00 lb", "what the customer of the dairy wants back", ""});
    CHECK(laid_out(wide.text(), 60) ==
          "cylinder     gross  what it is kept for\n"
          "RC-01     37.25 lb  the north racks of Oak Street         x\n"
          "RC-02      8.00 lb\n"
          "RC-03      1.00 lb  what the customer of the dairy wants\n"
          "                    back\n");
}

TEST_CASE("layout: below sixty a table that does not fit becomes cards; a cell without words is left out") {
    CHECK(laid_out(cylinders().text(), 44) ==
          "cylinder               RC-01\n"
          "  gross                37.25 lb\n"
          "  what it is kept for  the north racks of\n"
          "    Oak Street\n"
          "  x\n"
          "cylinder               RC-02\n"
          "  gross                8.00 lb\n");
}

TEST_CASE("layout: cards where a table would have more lines; what no row has is said once, a dash is nothing") {
    Table table;
    table.column("cylinder").column("gap", Side::right).column("note").column("owner");
    table.row({"RC-01", "", "drawn down by the night shift before it was seen", "-"});
    CHECK(laid_out(table.text(), 40) ==
          "cylinder    RC-01\n"
          "  note      drawn down by the night\n"
          "            shift before it was seen\n"
          "no row has anything under: gap, owner\n");
}

TEST_CASE("layout: below sixty, headings break where that is enough, and cells never do") {
    Table table;
    table.column("F", Side::right).column("bubble psig", Side::right).column("liquid lb/ft3", Side::right);
    table.row({"70", "142.1", "70.12"});
    CHECK(laid_out(table.text(), 22) ==
          " F  bubble  liquid\n"
          "      psig  lb/ft3\n"
          "70   142.1   70.12\n");
}

TEST_CASE("layout: from sixty on, the last columns go below their row where there is no room beside it") {
    Table table;
    for (const char* heading : {"a", "b", "c", "d", "e"}) table.column(heading);
    table.row({std::string(15, '1'), std::string(15, '2'), std::string(15, '3'), "4", "five of them"});
    table.row({"1", "2", "3", std::string(12, '4'), ""});
    CHECK(laid_out(table.text(), 61) == "a               b               c               d\n" + std::string(15, '1') +
                                            " " + std::string(15, '2') + " " + std::string(15, '3') +
                                            " 4\n    e five of them\n1               2               3               " +
                                            std::string(12, '4') + "\n");
}

TEST_CASE("layout: no headings where none has words, and headings alone where there is no row") {
    Table table;
    table.column("").column("", Side::right);
    table.row({"start", "1 lb"});
    CHECK(laid_out(table.text(), 80) == "start  1 lb\n");
    Table empty;
    empty.column("cylinder").column("gas");
    CHECK(laid_out(empty.text(), 80) == "cylinder  gas\n");
    CHECK(laid_out(empty.text(), 10) == "cylinder\n  gas\n");
}

}  // namespace layout_test
