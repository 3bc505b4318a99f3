// Words in a box: the largest size at which they fit, whole words before large letters, and dots only where nothing
// else is left.
#include "report/text_box.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace tarebook::report;

namespace {

const TextBox box{0, 0, 400, 100, FontWeight::regular, 118, 18};

double widest(const FittedText& text, FontWeight weight) {
    double out = 0;
    for (const auto& line : text.lines)
        out = std::max(out, static_cast<double>(drawn_width(line, weight)) * text.size / 1000);
    return out;
}

}  // namespace

TEST_CASE("a width is the sum of its letters' widths, of DejaVu Sans 2.37") {
    CHECK(drawn_width("", FontWeight::regular) == 0);
    CHECK(drawn_width("RC-01", FontWeight::regular) == 695 + 698 + 361 + 636 + 636);
    CHECK(drawn_width("RC-01", FontWeight::bold) == 770 + 734 + 415 + 696 + 696);
    CHECK(drawn_width("~ ", FontWeight::regular) == 838 + 318);
    CHECK(drawn_width("\u00e4\u6c34", FontWeight::regular) == 2000);
    CHECK(drawn_width("\xff", FontWeight::bold) == 1084);  // no UTF-8: a letter of its own
}

TEST_CASE("a short word is drawn as large as the height of the box allows") {
    const auto text = fitted(box, {"R-22"});
    CHECK(text.fits);
    CHECK(text.lines == std::vector<std::string>{"R-22"});
    CHECK(text.size == 80);  // 80 x 1.17 is 93.6, and 88 would be 103
}

TEST_CASE("whatever the words, they are inside of the box") {
    const std::string code = "RECOVERY-CYLINDER-OF-THE-LONGEST-CODE-THAT-A-SHOP-MAY-WRITE-001";
    for (const auto weight : {FontWeight::regular, FontWeight::bold})
        for (const std::string& words :
             {std::string("under pressure: never over 125 F / 52 C; upright, secured, capped"), code,
              std::string(5000, 'w'), std::string("\u6c34\u6c34\u6c34 \u6c34\u6c34"), std::string(" a  b "),
              std::string()})
            for (const double width : {40.0, 150.0, 900.0})
                for (const double height : {22.0, 60.0, 300.0}) {
                    const TextBox any{0, 0, width, height, weight, 118, 18};
                    const auto text = fitted(any, {words, words});
                    CAPTURE(words.substr(0, 20));
                    CAPTURE(width);
                    CAPTURE(height);
                    CHECK(widest(text, weight) <= std::max(width, 18 * 1.1));  // one letter is never broken
                    CHECK(static_cast<double>(text.lines.size()) * text.size * line_height <=
                          std::max(height, 18 * line_height));
                    if (!text.fits && !text.lines.empty()) CHECK(text.lines.back().ends_with("..."));
                }
}

TEST_CASE("a smaller size comes before a broken word; a code is broken behind its marks") {
    const TextBox narrow{0, 0, 120, 200, FontWeight::bold, 118, 18};
    const auto gas = fitted(narrow, {"R-404A"});
    CHECK(gas.lines == std::vector<std::string>{"R-404A"});
    CHECK_FALSE(gas.breaks_a_word);
    const auto code = fitted(narrow, {"OAK-STREET-CYLINDER-001"});
    REQUIRE(code.lines.size() > 1);
    CHECK(code.fits);
    CHECK(code.breaks_a_word);
    CHECK(code.lines.front().ends_with("-"));
    std::string all;
    for (const auto& line : code.lines) all += line;
    CHECK(all == "OAK-STREET-CYLINDER-001");
}

TEST_CASE("no letter is lost before the dots") {
    const std::string words = "one two three four five six seven eight nine ten";
    const auto text = fitted({0, 0, 200, 70, FontWeight::regular, 33, 18}, {words});
    std::string all;
    for (const auto& line : text.lines) all += (all.empty() ? "" : " ") + line;
    CHECK(text.fits);
    CHECK(all == words);
    const auto cut = fitted({0, 0, 200, 22, FontWeight::regular, 33, 18}, {words});
    CHECK_FALSE(cut.fits);
    REQUIRE(cut.lines.size() == 1);
    CHECK(cut.lines[0].ends_with("..."));
    CHECK(words.starts_with(cut.lines[0].substr(0, cut.lines[0].size() - 3)));
}
