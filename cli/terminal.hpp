// All words for a terminal, on stdout and stderr, go through this file. Texts from people, files and other books may
// have letters that a terminal obeys; those are shown as escapes instead.
#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

#include "tarebook/report/report.hpp"

namespace tarebook::cli {

/// Begins to escape. `format`: the value of --format, "text" without one. JSON on stdout to a program or a file stays
/// as it is, and so do CSV, whose cells the library escapes, and the bytes of a spreadsheet.
void show_letters(std::string_view format);

/// Heads all further output on stdout as that of a practice book.
void head_stdout(Format format);

/// All further output on stdout is a JSON page, which gets this key with this text as its first one.
void begin_stdout_with(std::string_view key, std::string_view text);

/// Letters in a line of text for this stream (STDOUT_FILENO or STDERR_FILENO): COLUMNS, from 40 to 120, else those of
/// its terminal. Nothing for a file or another program that reads it, if COLUMNS is not set.
std::optional<std::size_t> line_width(int stream);

/// Stdout is for a program or a file from now on: no line of it is broken.
void leave_stdout_as_it_is();

/// Writes unescaped to stderr, for the line that is written over itself.
void obeyed_by_terminal(std::string_view text);

}  // namespace tarebook::cli
