// Checks a sheet before the YAML library reads it. The library follows nesting by recursion, needs time by the square
// of a line's length, accepts two equal keys in silence, and expands anchors. A sheet needs none of that, so it is
// refused here, in at most one walk over the bytes.
#pragma once

#include <string>
#include <string_view>

#include "tarebook/units/file_problem.hpp"

namespace tarebook::exchange {

inline constexpr std::size_t longest_sheet_line = 65'536;
inline constexpr std::size_t deepest_sheet = 16;

/// Adds what is wrong with the bytes: size, UTF-8, control characters, line length, tabs, depth, anchors, aliases,
/// tags, directives, a second document. Pure.
void scan_sheet_text(std::string_view text, const std::string& name, FileProblems& problems);

/// The text without a byte order mark, with plain line ends.
std::string plain_sheet_text(std::string_view text);

}  // namespace tarebook::exchange
