#include "tarebook/units/fitted_text.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

TEST_CASE("fitted: a line that fits stays as it is, blanks and all") {
    CHECK(fitted_text("  a   b \n\n c", 9) == "  a   b \n\n c");
    CHECK(fitted_text("", 40).empty());
    CHECK(fitted_text("a long line stays whole\n", unbroken) == "a long line stays whole\n");
}

TEST_CASE("fitted: a line breaks at blanks and goes on as far right as it began") {
    CHECK(fitted_text("  one two three\n", 9) == "  one two\n  three\n");
    CHECK(fitted_text("- one two three\n", 9) == "- one two\n  three\n");
    CHECK(fitted_text("one two three\n", 7, 2) == "one two\n  three\n");
}

TEST_CASE("fitted: no word is broken; a longer one has a line for itself") {
    CHECK(fitted_text("see OAK/RACK-A/12-with-a-code now\n", 12) == "see\nOAK/RACK-A/12-with-a-code\nnow\n");
}

TEST_CASE("fitted: a value goes on under its value, unless there is too little room") {
    CHECK(fitted_text("gas    one two three four\n", 18) == "gas    one two\n       three four\n");
    CHECK(fitted_text("a long name of it    one two three\n", 24) == "a long name of it    one\n  two three\n");
}

TEST_CASE("fitted: a prompt keeps the blank that the answer is typed behind") {
    CHECK(fitted_text("one two > ", 8) == "one two\n> ");
    CHECK(fitted_text("one two > ", 40) == "one two > ");
    CHECK(fitted_text("one two > \n", 8) == "one two\n>\n");
}

TEST_CASE("fitted: letters count, not bytes") {
    CHECK(fitted_text("\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4 \xC3\xA4\xC3\xA4 x\n", 7) ==
          "\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4 \xC3\xA4\xC3\xA4\nx\n");
}

// A shell takes a line that ends in a backslash together with the next one, but not inside quotes.
TEST_CASE("fitted: a command can still be pasted as one") {
    CHECK(fitted_text("  tarebook void E12 --why 'wrong cylinder' --by ana\n", 30) ==
          "  tarebook void E12 --why \\\n      'wrong cylinder' --by \\\n      ana\n");
    CHECK(fitted_text("tarebook void E12 --why \"a b\"\n", 29) == "tarebook void E12 --why \"a b\"\n");
}

TEST_CASE("fitted: a number keeps its unit beside it") {
    CHECK(fitted_text("gross 48.80 lb\n", 11) == "gross\n48.80 lb\n");
    CHECK(fitted_text("under 146 F; keep it cool\n", 12) == "under 146 F;\nkeep it cool\n");
    CHECK(fitted_text("job 2207 lb\n", 8) == "job\n2207 lb\n");
    CHECK(fitted_text("of R-448A F is next\n", 9) == "of R-448A\nF is next\n");
}

TEST_CASE("fitted: a digest that no line holds stands on two, no other long word is broken") {
    const std::string half = "0123456789abcdef0123456789abcdef";
    CHECK(fitted_text("  " + half + half + "\n", 44) == "  " + half + "\n  " + half + "\n");
    CHECK(fitted_text("  " + half + half + "\n", 80) == "  " + half + half + "\n");
    CHECK(fitted_text("  " + half + "xyz" + half + "\n", 44) == "  " + half + "xyz" + half + "\n");
    CHECK(fitted_text("  tarebook prove " + half + half + "\n", 44) ==
          "  tarebook prove \\\n      " + half + half + "\n");
}
