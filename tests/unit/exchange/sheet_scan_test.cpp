// The look at the bytes of a sheet before the YAML library sees them, and at its events after.
#include <doctest/doctest.h>

#include "exchange/checked_sheet.hpp"
#include "tarebook/exchange/job_sheet.hpp"
#include "units/yaml_guard.hpp"

using namespace tarebook;
using namespace tarebook::exchange;

namespace {

std::string repeated(std::string_view text, std::size_t times) {
    std::string out;
    for (std::size_t i = 0; i < times; ++i) out += text;
    return out;
}

// "3 sheet-tab; 4 sheet-anchor": line and name of each problem.
std::string listed(const FileProblems& problems) {
    std::string out;
    for (const auto& p : problems.listed)
        out += (out.empty() ? "" : "; ") + std::to_string(p.line) + " " + p.error.name;
    return out;
}
std::string scanned(std::string_view text) {
    FileProblems problems;
    guard_yaml(text, "visit.yaml", sheet_guard, problems);
    return listed(problems);
}
std::string read(std::string_view text) {
    FileProblems problems;
    read_sheet_tree(text, "visit.yaml", problems);
    return listed(problems);
}

struct Row {
    const char* what;
    std::string text;
    std::string problems;
};

}  // namespace

TEST_CASE("The scan refuses what a sheet does not need, with its line, and lets the almost valid pass") {
    const Row rows[] = {
        {"plain", "a: 1\nb:\n  - c: 2\n", ""},
        {"nothing", "", ""},
        {"anchor", "a: 1\nb: &x 2\n", "2 sheet-anchor"},
        {"anchor in a list", "- &x 2\n", "1 sheet-anchor"},
        {"anchor in brackets", "a: [1, &x 2]\n", "1 sheet-anchor"},
        {"anchor on a key", "&x a: 1\n", "1 sheet-anchor"},
        {"ampersand inside text", "a: Smith & Sons\n", ""},
        {"quoted ampersand", "a: \"&x\"\nb: '&x'\n", ""},
        {"ampersand in a remark", "a: 1 # &x\n# &y\n", ""},
        {"alias", "a: *x\n", "1 sheet-anchor"},
        {"alias as a key", "*x : 1\n", "1 sheet-anchor"},
        {"star inside text", "a: 2 * 3\n", ""},
        {"tag", "a: !!str 1\n", "1 sheet-tag"},
        {"bare tag", "a: ! 1\n", "1 sheet-tag"},
        {"exclamation inside text", "a: mind the valve!\n", ""},
        {"merge key is the tree's", "a:\n  <<: 1\n", ""},
        {"complex key", "? a\n: b\n", "1 sheet-complex-key"},
        {"question inside text", "a: why? because\n", ""},
        {"directive", "%YAML 1.2\n---\na: 1\n", "1 sheet-directive"},
        {"per cent inside text", "a: 5 % more\n", ""},
        {"one document", "---\na: 1\n...\n", ""},
        {"one document after a remark", "# hello\n---\na: 1\n", ""},
        {"second document", "a: 1\n---\nb: 2\n", "2 sheet-second-document"},
        {"text after the end", "a: 1\n...\nb: 2\n", "3 sheet-second-document"},
        {"rule of a remark", "a: 1\n# ---\n", ""},
        {"dashes inside text", "a: ---x\nb: 1\n", ""},
        {"tab before a key", "a:\n\tb: 1\n", "2 sheet-tab"},
        {"tab after blanks", "a:\n  \tb: 1\n", "2 sheet-tab"},
        {"tab before a remark", "a: 1\n\t# hello\n", ""},
        {"tab inside text", "a: 1\tb\n", ""},
        {"zero byte", std::string("a: 1\nb: \0\n", 10), "2 sheet-control-character"},
        {"bell", "a: \a\n", "1 sheet-control-character"},
        {"delete", "a: \x7f\n", "1 sheet-control-character"},
        {"carriage return alone", "a: 1\rb: 2\n", "1 sheet-control-character"},
        {"DOS line ends", "a: 1\r\nb: 2\r\n", ""},
        {"byte order mark",
         "\xef\xbb\xbf"
         "a: 1\n",
         ""},
        {"byte order mark inside is text", "a: \xef\xbb\xbfx\n", ""},
        {"Latin-1", "a: caf\xe9\n", "1 sheet-not-utf8"},
        {"cut sequence", "a: \xe2\x82", "1 sheet-not-utf8"},
        {"overlong", "a: \xc0\xaf\n", "1 sheet-not-utf8"},
        {"surrogate", "a: \xed\xa0\x80\n", "1 sheet-not-utf8"},
        {"beyond Unicode", "a: \xf4\x90\x80\x80\n", "1 sheet-not-utf8"},
        {"UTF-16",
         std::string("\xff\xfe"
                     "a\0",
                     4),
         "1 sheet-not-utf8"},
        {"four bytes", "a: \xf0\x9f\x94\xa7\n", ""},
        {"two bad lines", "a: &x 1\nb: 1\nc: \xff\n", "1 sheet-anchor; 3 sheet-not-utf8"},
        {"block text holds anything", "a: |\n  &x\n  [[[[[[[[[[[[[[[[[[\n  --- \nb: 1\n", ""},
        {"block text ends with its indent", "a: |\n  x\nb: &y 1\n", "3 sheet-anchor"},
        {"quote over two lines", "a: \"x\n  &y [ {\"\nb: &z 1\n", "3 sheet-anchor"},
        {"doubled quote", "a: 'it''s &x'\nb: &z 1\n", "2 sheet-anchor"},
        {"escaped quote", "a: \"x\\\" &y\"\nb: &z 1\n", "2 sheet-anchor"},
    };
    for (const auto& row : rows) {
        CAPTURE(row.what);
        CHECK(scanned(row.text) == row.problems);
    }
}

TEST_CASE("Sixteen levels are taken, seventeen are refused before the library is asked") {
    const auto brackets = [](std::size_t n) { return "a: " + repeated("[", n) + repeated("]", n) + "\n"; };
    CHECK(scanned(brackets(15)) == "");
    CHECK(scanned(brackets(16)) == "1 sheet-too-deep");
    CHECK(scanned("a: " + repeated("[{x: ", 8) + "1" + repeated("}]", 8) + "\n") == "1 sheet-too-deep");
    CHECK(scanned(repeated("- ", 16) + "x\n") == "");
    CHECK(scanned(repeated("- ", 17) + "x\n") == "1 sheet-too-deep");
    std::string keys;
    for (std::size_t i = 0; i < 16; ++i) keys += std::string(i, ' ') + "k:\n";
    CHECK(scanned(keys) == "");
    CHECK(read(keys) == "");
    CHECK(scanned(keys + std::string(16, ' ') + "k:\n") == "17 sheet-too-deep");
    // a list at the column of its key is a level of its own
    std::string lists;
    for (std::size_t i = 0; i < 8; ++i) lists += std::string(2 * i, ' ') + "k:\n" + std::string(2 * i, ' ') + "- \n";
    CHECK(scanned(lists) == "");
    CHECK(scanned(repeated("[", 60'000)) == "1 sheet-too-deep; 1 sheet-syntax");
}

TEST_CASE("Depth that quotes hide from the scan is found in the library's events") {
    // a plain text that goes on over two lines: the scan takes the quote on the second line for the start of a quote
    const auto hidden = [](const std::string& value) { return "a: x\n  \"\nb: " + value + "\nc: y\n  \"\n"; };
    const auto deep = hidden(repeated("[", 20) + repeated("]", 20));
    CHECK(scanned(deep) == "");
    CHECK(read(deep) == "3 sheet-too-deep");
    CHECK(read(hidden("&y 1")) == "3 sheet-anchor");
    CHECK(read(hidden("!t 1")) == "3 sheet-tag");
    CHECK(read(hidden("? c")) == "3 sheet-syntax");
}

TEST_CASE("A line of many values is walked without recursion") {
    for (const char* unit : {"a: ", "[]: ", "\"a\": ", "- ", "? ", "[", "{a: ", "'' "}) {
        CAPTURE(unit);
        const auto times = (sheet_guard.longest_line - 2) / std::string_view(unit).size();
        CHECK(read(repeated(unit, times) + "\n") != "");
    }
}

TEST_CASE("A line may have 64 KiB and a sheet 1 MiB, one byte more is refused") {
    CHECK(scanned("a: " + std::string(sheet_guard.longest_line - 3, 'x') + "\n") == "");
    CHECK(scanned("b: 1\na: " + std::string(sheet_guard.longest_line - 2, 'x') + "\n") == "2 sheet-long-line");
    const auto line = "# " + std::string(1021, 'x') + "\n";
    const auto full = repeated(line, 1024);
    REQUIRE(full.size() == longest_job_sheet);
    CHECK(scanned(full) == "");
    CHECK(read(full + "\n") == "0 sheet-too-large");
}

TEST_CASE("The tree keeps lines, and refuses equal keys, merge keys and keys that are no text") {
    FileProblems problems;
    const auto tree = read_sheet_tree("a: 1\nb:\n  - c: x\n    d:\n  - \"\"\n", "visit.yaml", problems);
    REQUIRE(tree);
    CHECK(problems.empty());
    REQUIRE(tree->keys.size() == 2);
    CHECK(tree->keys[1].text == "b");
    CHECK(tree->keys[1].line == 2);
    REQUIRE(tree->items[1].items.size() == 2);
    CHECK(tree->items[1].items[0].line == 3);
    CHECK(tree->items[1].items[0].keys[1].line == 4);
    CHECK(tree->items[1].items[0].items[1].empty());
    CHECK(tree->items[1].items[1].empty());
    CHECK(read("a: 1\nb: 2\na: 3\n") == "3 sheet-duplicate-key");
    CHECK(read("x:\n  - a: 1\n    \"a\": 2\n") == "3 sheet-duplicate-key");
    CHECK(read("a: 1\nA: 2\n") == "");
    CHECK(read("a:\n  <<: {b: 1}\n") == "2 sheet-merge-key");
    CHECK(read("[a]: 1\n") == "1 sheet-complex-key");
    CHECK(read("{a: 1}: 1\n") == "1 sheet-complex-key");
    CHECK(read(": 1\n") == "1 sheet-shape");
    CHECK(read("b: 1\na: [1, {\n  c: 2\n") == "2 sheet-syntax");
    CHECK(read("a: b: c\n") == "1 sheet-syntax");
    CHECK(read("a: 1\n b: 2\n") == "2 sheet-syntax");
    CHECK(read("b: 1\na: \"x\n\n") == "2 sheet-syntax");
    CHECK(read("a: 'x\nb: 1\n") == "1 sheet-syntax");
    CHECK(read("a: [\"x]\n") == "1 sheet-syntax");
    CHECK(read("") == "0 sheet-empty");
    CHECK(read("# only a remark\n") == "0 sheet-empty");
    CHECK(read("---\n") == "0 sheet-empty");
    CHECK(read("~\n") == "0 sheet-empty");
}

TEST_CASE("Line ends and a byte order mark do not come into the text") {
    CHECK(plain_yaml_text("\xef\xbb\xbf"
                          "a: 1\r\nb: 2\r\n") == "a: 1\nb: 2\n");
    CHECK(plain_yaml_text("a\r") == "a");
    CHECK(plain_yaml_text("a\rb") == "a\rb");
}
