// Words in a rectangle of a drawing: the largest size at which they fit, broken into lines.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "letter_widths.hpp"

namespace tarebook::report {

/// In the units of the drawing, font sizes too.
struct TextBox {
    double x = 0, y = 0, width = 0, height = 0;
    FontWeight weight = FontWeight::regular;
    int largest = 0, smallest = 0;  ///< font sizes, of those in text_sizes
    int lines = 99;                 ///< at most
};

/// The font sizes that are tried. A page's style has a class for each ("f40"), because its content policy allows no
/// style of an element's own.
inline constexpr std::array text_sizes{18, 20, 22, 24, 27, 30, 33, 36, 40,  44,
                                       49, 54, 60, 66, 73, 80, 88, 97, 107, 118};

struct FittedText {
    int size = 0;
    std::vector<std::string> lines;
    bool fits = false;  ///< else the last line ends in "...": even at the smallest size it does not
    bool breaks_a_word = false;
};

/// Each paragraph begins a line. Lines are broken at blanks; only where no size does otherwise, a word is broken,
/// behind a slash, hyphen, dot or underscore, else anywhere. A margin of a thirtieth of the width stays free, for fonts
/// that are wider.
FittedText fitted(const TextBox& box, const std::vector<std::string>& paragraphs);

/// As elements of SVG, from the top of the box, or in the middle of its height.
enum class Upright { top, middle };
std::string drawn_text(const TextBox& box, const std::vector<std::string>& paragraphs,
                       Upright upright = Upright::middle);

}  // namespace tarebook::report
