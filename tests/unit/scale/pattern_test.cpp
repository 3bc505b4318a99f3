#include <doctest/doctest.h>

#include <chrono>

#include "tarebook/scale/scale_line.hpp"
#include "tarebook/scale/scale_reader.hpp"

namespace scale_pattern_test {
using namespace tarebook;

std::string read(const char* pattern, std::string_view line) {
    const auto shape = LineShape::of_pattern(pattern);
    if (!shape) return shape.error().name + ": " + shape.error().what;
    const auto said = shape->read(line);
    return said ? text_of(*said) : "-";
}

TEST_CASE("a pattern of one's own: named groups, or the number and the unit by their place") {
    CHECK(read("W:(?<number>[0-9.]+) (?<unit>lb|kg)", "W:031.20 lb") == "31.20 lb");
    CHECK(read("W:(?<number>[0-9.]+) (?<unit>lb|kg)", "W:031.20 lb!") == "-");  // the whole line has to match
    CHECK(read("([0-9.]+) *(lb|kg)", "31.20kg") == "31.20 kg");
    CHECK(read("([0-9.]+)", "31.20") == "31.20, no unit");
    CHECK(read("(?:W|G):(?<sign>[-+ ])(?<number>[ 0-9]+)(?<unit>lb)", "G:- 31lb") == "-31 lb");
    CHECK(read("(?<number>[-0-9,]+) kg", "-31,20 kg") == "-31.20, no unit");
    const char* marked = "(?:(?<stable>=)|(?<moving>~)) (?:(?<net>N)|(?<gross>B)) (?:(?<over>-+)|(?<number>[0-9.]+))";
    CHECK(read(marked, "= B 31.20") == "31.20, no unit, gross, stands still");
    CHECK(read(marked, "~ N 31.20") == "31.20, no unit, net, moving");
    CHECK(read(marked, "= B -----") == "over or under the range of the scale");
    CHECK(read("(?<number>.*)", "no number") == "-");
    CHECK(read("(?<number>.*)", "1.2.3") == "-");
    CHECK(read("(?<number>[0-9]+) (?<unit>[a-z]+)", "31 st") == "31 st");
    CHECK(read("[[:digit:]]+ (?<number>[0-9.[]+)", "01 31.20") == "31.20, no unit");
    CHECK(read(R"(\[([0-9.]+)\])", "[31.20]") == "31.20, no unit");
}

TEST_CASE("a pattern that cannot be used is refused with the reason") {
    struct Row {
        std::string pattern;
        const char* why;
    };
    const std::string deep(30, '(');
    for (const auto& [pattern, why] : {Row{"(", "a group is not closed"},
                                       Row{")", "a bracket is closed that was not opened"},
                                       Row{"[0-9", "a [ is not closed"},
                                       Row{"[[:digit", "a [ is not closed"},
                                       Row{"lb", "no group around the number"},
                                       Row{"(?<unit>lb)", "no group around the number"},
                                       Row{"(?<weight>[0-9]+)", "groups are named number|unit"},
                                       Row{"(?<number>1)(?<number>2)", "two groups are named number"},
                                       Row{"(?<number", "not closed"},
                                       Row{"(?=a)([0-9]+)", "looks ahead"},
                                       Row{"(?!a)([0-9]+)", "looks ahead"},
                                       Row{"(?<=a)([0-9]+)", "looks ahead"},
                                       Row{R"(([0-9])\1)", "refers back"},
                                       Row{"([0-9]+)\\", "ends in a backslash"},
                                       Row{"([0-9]{200})", "more than 100 times"},
                                       Row{"([0-9]{9999999999999999999999})", "more than 100 times"},
                                       Row{"((((a{50}){50}){50}){50})", "could take long"},
                                       Row{"([0-9]{x})", "braces repeat"},
                                       Row{"([0-9]{2,x})", "braces repeat"},
                                       Row{"({2})", "a repeat has nothing before it"},
                                       Row{"(*)", "a repeat has nothing before it"},
                                       Row{"([9-0])", "a range of letters runs backwards"},
                                       Row{"([[:weight:]])", "a class of letters"},
                                       Row{deep, "deep"},
                                       Row{std::string(400, 'a'), "longer than"},
                                       Row{"(\xc3\xa9)", "no scale sends"}}) {
        const auto seen = std::string(pattern);
        CAPTURE(seen);
        const auto shape = LineShape::of_pattern(pattern);
        REQUIRE_FALSE(shape);
        CHECK(shape.error().name == "scale-pattern");
        CHECK_MESSAGE(shape.error().what.find(why) != std::string::npos, shape.error().what);
    }
}

// What a backtracking engine needs ages for, or a deep stack.
TEST_CASE("no pattern takes long over a line, whatever stands in it") {
    const std::string line(longest_scale_line, 'a');
    for (const char* pattern : {"(a+)+b", "(a|aa)*b(1)", "(a*)*(b*)*c", "(.*.*.*.*.*.*)(1)", "((a?){15}){15}c",
                                "(a|a|a|a|a)*b", "(((((a*)*)*)*)*)*c", "([a-z]*){50}[0-9]"}) {
        CAPTURE(pattern);
        const auto shape = LineShape::of_pattern(pattern);
        REQUIRE(shape);
        const auto begun = std::chrono::steady_clock::now();
        CHECK_FALSE(shape->read(line));
        CHECK(std::chrono::steady_clock::now() - begun < std::chrono::seconds(5));
    }
}

TEST_CASE("a proposal reads the lines it was made of") {
    struct Row {
        std::vector<std::string> lines;
        const char *pattern, *said;
    };
    for (const auto& [lines, pattern, said] :
         {Row{{"W: 31.20 lb =", "W: 31.25 lb ="},
              R"(W: *(?<number>[0-9]+(?:[.,][0-9]+)?) *(?<unit>lb) *=)",
              "31.20 lb"},
          Row{{"01 + 31.20 kg"}, "[0-9]+ *(?<sign>[-+]?) *(?<number>[0-9]+(?:[.,][0-9]+)?) *(?<unit>kg)", "31.20 kg"},
          Row{{"#1 ST 31,20", "#1 ST 31,25"},
              "#[0-9]+ *(?<stable>ST) *(?<number>[0-9]+(?:[.,][0-9]+)?)",
              "31.20, no unit, stands still"},
          Row{{"(31.20) ab", "(31.20) cd", "noise"},
              R"(\((?<number>[0-9]+(?:[.,][0-9]+)?)\) *[A-Za-z]+)",
              "31.20, no unit"}}) {
        const auto seen = std::string(lines.front());
        CAPTURE(seen);
        CHECK(proposed_pattern(lines) == pattern);
        CHECK(read(pattern, lines.front()) == said);
    }
    CHECK(proposed_pattern({"W01 (31.20) lb =", "W02 (31.20) lb ~"}) ==
          R"(W[0-9]+ *\((?<number>[0-9]+(?:[.,][0-9]+)?)\) *(?<unit>lb) *(?:=|~))");
    CHECK(proposed_pattern({"KG 14.15 = 1.5"}) ==
          "(?<unit>KG) *(?<number>[0-9]+(?:[.,][0-9]+)?) *= *[0-9]+(?:[.,][0-9]+)?");
    CHECK(proposed_pattern({}).empty());
    CHECK(proposed_pattern({"no number", "at all"}).empty());
    CHECK(proposed_pattern({"\xff\xfe\x80", "\xf0 1 2 3"}).empty());
}

}  // namespace scale_pattern_test
