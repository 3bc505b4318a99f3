// What the CSV reader refuses, as errors. Each is a mistake in a file, so each is ErrorKind::usage.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook::csv_guard {

bool is_utf16(std::string_view start);

Error error(std::string name, std::string what, std::string seen, std::string expected, std::string next = {});

Error utf16();
Error zero_byte();
Error quote_open(std::int64_t line);
/// `opened`: the line of the quote before it, if that is another line; else 0.
Error quote_out_of_place(std::size_t cell, std::int64_t opened);
Error cell_too_long(std::size_t bytes);
Error too_many_cells(std::size_t cells);
Error too_many_lines(std::int64_t lines);

}  // namespace tarebook::csv_guard
