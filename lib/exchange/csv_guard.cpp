#include "csv_guard.hpp"

#include <fmt/format.h>

namespace tarebook::csv_guard {

bool is_utf16(std::string_view start) {
    return start.starts_with("\xFF\xFE") || start.starts_with("\xFE\xFF");
}

Error error(std::string name, std::string what, std::string seen, std::string expected, std::string next) {
    return {ErrorKind::usage, std::move(name), std::move(what), std::move(seen), std::move(expected), std::move(next)};
}

Error utf16() {
    return error("csv-utf16", "the file is written in UTF-16", "a UTF-16 byte order mark", "UTF-8",
                 "save it again as \"CSV UTF-8\"");
}
Error zero_byte() {
    return error("csv-zero-byte", "there is a zero byte in the file", "a zero byte", "text",
                 "save the sheet again as \"CSV UTF-8\"; if it is a damaged copy, go back to the original");
}
Error quote_open(std::int64_t line) {
    return error("csv-quote-open", fmt::format("the quote opened in line {} is not closed", line), {},
                 "a second quote at the end of that cell", "close it, or take the first one out");
}
Error quote_out_of_place(std::size_t cell, std::int64_t opened) {
    return error("csv-quote", fmt::format("cell {} has a quote out of place", cell),
                 opened > 0 ? fmt::format("a cell that began with a quote in line {}", opened) : std::string(),
                 "a quote at the start and at the end of the cell, and those inside it doubled",
                 opened > 0 ? fmt::format("see whether the quote in line {} was meant to be closed there", opened)
                            : std::string());
}
Error cell_too_long(std::size_t bytes) {
    return error("csv-cell-too-long", fmt::format("a cell is longer than {} bytes", bytes), {},
                 fmt::format("at most {} bytes", bytes), "see whether a quote or a comma is missing before it");
}
Error too_many_cells(std::size_t cells) {
    return error("csv-too-many-cells", fmt::format("a row has more than {} cells", cells), {}, "as many as the header",
                 "see whether line ends are missing");
}
Error too_many_lines(std::int64_t lines) {
    return error("csv-too-many-lines", fmt::format("the file has more than {} lines", lines), {}, "fewer",
                 "import it in parts");
}

}  // namespace tarebook::csv_guard
