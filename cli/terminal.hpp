// The one place through which all words for a terminal go, on stdout and stderr alike. What people, files and other
// books said may hold letters that a terminal obeys; they are shown instead.
#pragma once

#include <string_view>

#include "tarebook/report/report.hpp"

namespace tarebook::cli {

/// From now on. `format`: what --format says, "text" without one. JSON on stdout that goes to a
/// program or a file stays as it is, and so do CSV, whose cells the library shows, and the bytes of a spreadsheet.
void show_letters(std::string_view format);

/// What goes to stdout from now on is of a practice book, and is headed so.
void head_stdout(Format format);

/// For the line that is written over itself: obeyed as it is, on stderr.
void obeyed_by_terminal(std::string_view text);

}  // namespace tarebook::cli
