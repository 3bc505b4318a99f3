// Rows of CSV at the end of a text: RFC 4180, CRLF, quotes where they are needed, and no cell that a terminal obeys or
// a spreadsheet computes (cell_text).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/units/mass.hpp"

namespace tarebook {

class CsvText {
 public:
    /// `out` is held by reference.
    explicit CsvText(std::string& out) : out_(out) {}
    /// A cell before the others of each row, if it is not empty; it lives as long as this does.
    void begin_rows_with(std::string_view cell) { begins_ = cell; }
    CsvText& cell(std::string_view text);
    /// Pounds, two to six decimals; empty where there is no mass.
    CsvText& cell(const std::optional<Mass>& mass);
    CsvText& count(std::int64_t number);
    /// Bytes as hexadecimal digits.
    CsvText& hex(std::string_view bytes);
    void end_row();

 private:
    void comma();
    std::string& out_;
    std::string_view begins_;
    bool first_ = true;
};

}  // namespace tarebook
