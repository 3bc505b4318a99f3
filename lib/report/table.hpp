// Rows for people and for spreadsheets: a plain ASCII table, and CSV after RFC 4180.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cell.hpp"
#include "tarebook/units/mass.hpp"

namespace tarebook::report {

enum class Side { left, right };

class Table {
 public:
    struct Column {
        std::string heading;
        Side side;
    };
    Table& column(std::string heading, Side side = Side::left);
    void row(std::vector<std::string> cells);
    /// A row with the type of each field in a spreadsheet.
    void typed_row(std::vector<Cell> cells);
    [[nodiscard]] bool empty() const { return rows_.empty(); }
    [[nodiscard]] const std::vector<Column>& columns() const { return columns_; }
    [[nodiscard]] const std::vector<std::vector<std::string>>& rows() const { return rows_; }
    [[nodiscard]] const Cell::Value& value(std::size_t row, std::size_t column) const {
        return values_[row * columns_.size() + column];
    }
    /// Headings, then rows, two blanks between columns, no blanks at line ends.
    [[nodiscard]] std::string text(std::size_t indent = 0) const;

 private:
    std::vector<Column> columns_;
    std::vector<std::vector<std::string>> rows_;
    std::vector<Cell::Value> values_;  // row after row
};

class Csv {
 public:
    /// `schema_version` becomes the first column.
    explicit Csv(std::vector<std::string> headings);
    void row(const std::vector<std::string>& cells);
    [[nodiscard]] std::string page() const { return out_; }

 private:
    void line(const std::vector<std::string>& cells);
    std::string out_;
};

/// Pounds for a CSV cell; empty if there is no mass.
std::string pounds_cell(const std::optional<Mass>& mass);

/// Breaks at blanks so that no line is longer than `width` where that is possible; each line begins with `indent`.
std::string wrapped(std::string_view text, std::size_t indent, std::size_t width = 80);
/// As wrapped(), after a dash, with later lines under the words.
std::string bulleted(std::string_view text);

}  // namespace tarebook::report
