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

/// What the figures of a column are. Of what moved, a zero is a dash, and says that nothing did; elsewhere a dash
/// stands for what is not on record, and zero is zero. `summed` and `moved` have a sum below them; of `moved_with_sums`
/// the rows themselves have it.
enum class Figures { single, summed, moved, moved_with_sums };

class Table {
 public:
    struct Column {
        std::string heading;
        Side side;
        Figures figures = Figures::single;
    };
    Table& column(std::string heading, Side side = Side::left, Figures figures = Figures::single);
    void row(std::vector<std::string> cells);
    /// A row with the type of each field in a spreadsheet.
    void typed_row(std::vector<Cell> cells);
    [[nodiscard]] bool empty() const { return rows_.empty(); }
    [[nodiscard]] const std::vector<Column>& columns() const { return columns_; }
    [[nodiscard]] const std::vector<std::vector<std::string>>& rows() const { return rows_; }
    [[nodiscard]] const Cell::Value& value(std::size_t row, std::size_t column) const {
        return values_[row * columns_.size() + column];
    }
    /// As shown_table() has it, for laid_out(), which makes lines of it: headings where one has words, then rows.
    /// Precondition: an indent of less than 64.
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

/// A paragraph as one line, behind `indent` blanks, with one blank between its words: laid_out() breaks it, and begins
/// each line with as many. Nothing where there are no words.
std::string wrapped(std::string_view text, std::size_t indent);
/// As wrapped(), after a dash, with later lines under the words.
std::string bulleted(std::string_view text);

}  // namespace tarebook::report
