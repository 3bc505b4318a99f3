// Text for a terminal of a width: long lines are broken at blanks, and never inside a word.
//
//     fitted_text("refused: RC-04 would hold 46.00 lb, over its limit of 39.79 lb\n", 44, 2)
//
//     refused: RC-04 would hold 46.00 lb, over
//       its limit of 39.79 lb
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace tarebook {

/// Widths that pages are made for, in letters.
inline constexpr std::size_t narrowest_text = 40, usual_text = 80, widest_text = 120;
/// A width for a text that is broken later, as a part of another one.
inline constexpr std::size_t unbroken = static_cast<std::size_t>(-1);

/// The text with each line of more than `width` letters broken at blanks. What follows the break begins under the value
/// where the line is a name and its value, two blanks between them, under the words behind a dash, else `hanging`
/// blanks right of the line's own beginning. A longer word has a line for itself. A line that is a command of tarebook
/// goes on after a backslash, so that a shell takes it whole.
std::string fitted_text(std::string_view text, std::size_t width, std::size_t hanging = 0);

}  // namespace tarebook
