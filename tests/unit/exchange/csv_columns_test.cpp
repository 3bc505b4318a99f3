#include <doctest/doctest.h>

#include <array>

#include "exchange/csv.hpp"

using namespace tarebook;

namespace {

constexpr std::array<CsvColumn, 3> wanted = {{{"kind"}, {"weight"}, {"note", false}}};

struct Table {
    bool good = false;
    std::vector<std::string> rows;  // kind|weight|note
    std::vector<std::string> told;  // line field name

    explicit Table(std::string_view text) {
        TextSource source(text);
        FileProblems problems;
        CsvReader reader(source, "f.csv", problems);
        CsvColumns columns;
        good = CsvColumns::read_header(reader, wanted, columns);
        while (good && columns.next(reader))
            rows.push_back(std::string(columns.cell(0)) + "|" + std::string(columns.cell(1)) + "|" +
                           std::string(columns.cell(2)));
        for (const auto& p : problems.listed)
            told.push_back(std::to_string(p.line) + " " + p.field + " " + p.error.name);
    }
};

using Words = std::vector<std::string>;

}  // namespace

TEST_CASE("columns: their order and case are free, and a known one may be missing") {
    CHECK(Table("Weight,KIND\n1,a\n2,b\n").rows == Words{"a|1|", "b|2|"});
    CHECK(Table("note,kind,weight\nx,a,1\n").rows == Words{"a|1|x"});
}

TEST_CASE("columns: each thing wrong in the first row is told, with what was seen") {
    CHECK(Table("").told == Words{"0  csv-empty"});
    CHECK(Table("kind,note\na,b\n").told == Words{"1 weight header-missing"});
    CHECK(Table("kind,weight,kind\n").told == Words{"1 kind header-twice"});
    CHECK(Table("kind,weight,hue\n").told == Words{"1 hue header-unknown"});
    CHECK(Table("kind,weigth\n").told == Words{"1 weigth header-unknown", "1 weight header-missing"});
    CHECK(Table("kind,weight,\na,1,\n").told == Words{"1  header-unknown"});
    CHECK(Table("kind,wei\xff\n").told == Words{"1  text-not-utf8"});

    TextSource source("kind;weight;note\na;1;x\n");
    FileProblems problems;
    CsvReader reader(source, "f.csv", problems);
    CsvColumns columns;
    CHECK_FALSE(CsvColumns::read_header(reader, wanted, columns));
    REQUIRE(problems.count == 1);
    CHECK(problems.listed[0].error.seen == "kind;weight;note");
    CHECK(problems.listed[0].error.expected == "kind,weight");
    CHECK(problems.listed[0].error.next.find("separated by \";\"") != std::string::npos);
}

TEST_CASE("columns: a row of another length is told and left out, the others are read") {
    const Table t("kind,weight\na,1\nb\nc,1,2\nd,2\n");
    CHECK(t.rows == Words{"a|1|", "d|2|"});
    CHECK(t.told == Words{"3  row-short", "4  row-long"});
}

TEST_CASE("columns: a cell that is no text is told by its column") {
    const Table t("kind,weight\na,1\n\xff,2\nb,\x07\nc,3\rx\n\xc3\xa9,4\n");
    CHECK(t.rows == Words{"a|1|", "\xc3\xa9|4|"});
    CHECK(t.told == Words{"3 kind text-not-utf8", "4 weight csv-control", "5 weight csv-control"});
}
