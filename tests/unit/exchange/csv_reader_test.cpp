// Rows as RFC 4180 (October 2005) has them, its examples in section 2 among them, and what is no CSV at all.
#include <doctest/doctest.h>

#include "exchange/csv.hpp"

using namespace tarebook;

namespace {

struct Read {
    std::vector<std::vector<std::string>> rows;
    std::vector<std::int64_t> lines;
    FileProblems problems;

    [[nodiscard]] std::string only() const {
        if (problems.count != 1) return std::to_string(problems.count) + " problems";
        return std::to_string(problems.listed[0].line) + " " + problems.listed[0].error.name;
    }
};

// Gives the text in pieces of a few bytes, as a slow source might.
class Dripping : public ByteSource {
 public:
    Dripping(std::string_view text, std::size_t piece) : rest_(text), piece_(piece) {}
    std::size_t read(char* into, std::size_t most) override {
        const auto n = std::min({most, piece_, rest_.size()});
        rest_.copy(into, n);
        rest_.remove_prefix(n);
        return n;
    }

 private:
    std::string_view rest_;
    std::size_t piece_;
};

Read read_from(ByteSource& source, CsvLimits limits = {}) {
    Read out;
    CsvReader reader(source, "f.csv", out.problems, limits);
    while (reader.next()) {
        out.rows.emplace_back(reader.cells().begin(), reader.cells().end());
        out.lines.push_back(reader.line());
    }
    return out;
}
Read read(std::string_view text, CsvLimits limits = {}) {
    TextSource source(text);
    return read_from(source, limits);
}

using Rows = std::vector<std::vector<std::string>>;
using Lines = std::vector<std::int64_t>;

}  // namespace

TEST_CASE("csv: the examples of RFC 4180, section 2") {
    // rules 1, 2, 5, 6 and 7, in that order
    CHECK(read("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n").rows == Rows{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}});
    CHECK(read("aaa,bbb,ccc\r\nzzz,yyy,xxx").rows == Rows{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}});
    CHECK(read("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx").rows == Rows{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}});
    CHECK(read("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx").rows ==
          Rows{{"aaa", "b\r\nbb", "ccc"}, {"zzz", "yyy", "xxx"}});
    CHECK(read("\"aaa\",\"b\"\"bb\",\"ccc\"").rows == Rows{{"aaa", "b\"bb", "ccc"}});
}

TEST_CASE("csv: blanks around cells and blank lines are no part of it, and lines are counted all the same") {
    const auto r = read("\xEF\xBB\xBF  a , b\t\n\n  \r\n,,\n\" c \" ,d\r\n\"x\ny\",z\n\nlast,1");
    CHECK(r.rows == Rows{{"a", "b"}, {"c", "d"}, {"x\ny", "z"}, {"last", "1"}});
    CHECK(r.lines == Lines{1, 5, 6, 9});
    CHECK(r.problems.empty());
}

TEST_CASE("csv: a source that gives a few bytes at a time gives the same rows and the same problems") {
    const std::string_view texts[] = {
        "a,b\n\"c,c\",d\r\n\n\"e\nf\"\"g\",h\n i , j \nlast,row",
        "a,b\n\"c\nd,e\nf",
        "a,b\nc\"d,e\nf,g\n",
        std::string_view("a,b\nc,d\0e\nf,g\n", 14),
    };
    for (const auto text : texts) {
        const auto whole = read(text);
        for (std::size_t piece = 3; piece < 12; ++piece) {  // a mark at the start is three bytes
            CAPTURE(piece);
            Dripping source(text, piece);
            const auto dripped = read_from(source);
            if (whole.problems.empty()) CHECK(dripped.rows == whole.rows);
            CHECK(dripped.lines.size() >= whole.lines.size());
            CHECK(dripped.only() == whole.only());
        }
    }
}

TEST_CASE("csv: what is no text is refused at its line") {
    CHECK(read(std::string_view("a,b\nc,\0d\n", 9)).only() == "2 csv-zero-byte");
    CHECK(read("\xFF\xFE"
               "a")
              .only() == "1 csv-utf16");
    CHECK(read("\xFE\xFF"
               "a")
              .only() == "1 csv-utf16");
}

TEST_CASE("csv: a quote that is not closed is told by the line where it was opened") {
    const auto r = read("a,b\nc,d\ne,\"f\ng,h\ni,j\n");
    CHECK(r.rows.size() == 2);
    CHECK(r.only() == "3 csv-quote-open");
    // the next quote in the file closes it by accident: then what follows it is out of place
    const auto later = read("a,b\ne,\"f\ng,\"h\"\n");
    CHECK(later.only() == "2 csv-quote");
    CHECK(later.problems.listed[0].error.seen == "a cell that began with a quote in line 2");
    CHECK(read("a,b\nc\"c,d\n").only() == "2 csv-quote");
    CHECK(read("a,b\n\"c\"c,d\n").only() == "2 csv-quote");
    CHECK(read("a,\"b").only() == "1 csv-quote-open");
}

TEST_CASE("csv: limits end the reading, and a row just within them is taken") {
    CsvLimits limits;
    limits.cell_bytes = 8;
    limits.cells = 3;
    limits.row_lines = 2;
    limits.file_lines = 4;
    CHECK(read("12345678,b\n", limits).rows.size() == 1);
    CHECK(read("123456789,b\n", limits).only() == "1 csv-cell-too-long");
    CHECK(read("a,\"123456789\"\n", limits).only() == "1 csv-cell-too-long");
    CHECK(read("a,b,c\n", limits).rows.size() == 1);
    CHECK(read("a,b,c,d,e\n", limits).only() == "1 csv-too-many-cells");
    CHECK(read("\"a\n\nb\",c\n", limits).rows.size() == 1);
    CHECK(read("\"a\n\n\nb\",c\n", limits).only() == "1 csv-quote-open");
    CHECK(read("a\nb\nc\n", limits).rows.size() == 3);
    CHECK(read("a\nb\nc\nd\ne\n", limits).only() == "5 csv-too-many-lines");
}

TEST_CASE("csv: a cell may be 64 KiB long and no longer") {
    const std::string most(64 * 1024, 'x');
    CHECK(read("a," + most + "\n").rows.at(0).at(1) == most);
    CHECK(read("a,\"" + most + "\"\nb,c\n").rows.at(0).at(1) == most);
    CHECK(read("a," + most + "x\n").only() == "1 csv-cell-too-long");
    CHECK(read("a,\"" + most + "x\"\n").only() == "1 csv-cell-too-long");
}

TEST_CASE("csv: a file is opened only where it is one") {
    CHECK(open_file("/nowhere/at/all.csv").error().name == "file-missing");
    CHECK(open_file("/tmp").error().name == "file-not-regular");
    CHECK(open_file("/dev/zero").error().name == "file-not-regular");
}

TEST_CASE("csv: UTF-8 is what Unicode's table 3-7 allows") {
    // The Unicode Standard, version 15.0, table 3-7, well-formed byte sequences: first and last of each row
    for (const char* good : {"\x7f", "\xc2\x80", "\xdf\xbf", "\xe0\xa0\x80", "\xed\x9f\xbf", "\xee\x80\x80",
                             "\xef\xbf\xbf", "\xf0\x90\x80\x80", "\xf4\x8f\xbf\xbf"})
        CHECK(is_utf8(good));
    for (const char* bad : {"\x80", "\xc1\xbf", "\xc2", "\xe0\x9f\xbf", "\xed\xa0\x80", "\xf0\x8f\xbf\xbf",
                            "\xf4\x90\x80\x80", "\xf5\x80\x80\x80", "\xe2\x82"})
        CHECK_FALSE(is_utf8(bad));
}
