#include "table.hpp"

#include <algorithm>

#include "json.hpp"
#include "layout.hpp"
#include "shown_table.hpp"
#include "units/csv_text.hpp"

namespace tarebook::report {

Table& Table::column(std::string heading, Side side, Figures figures) {
    columns_.push_back({std::move(heading), side, figures});
    return *this;
}
void Table::row(std::vector<std::string> cells) {
    cells.resize(columns_.size());
    rows_.push_back(std::move(cells));
    values_.resize(values_.size() + columns_.size());
}
void Table::typed_row(std::vector<Cell> cells) {
    cells.resize(columns_.size(), no_cell(""));
    auto& words = rows_.emplace_back();
    words.reserve(cells.size());
    for (auto& cell : cells) {
        words.push_back(std::move(cell.text));
        values_.push_back(cell.value);
    }
}

std::string Table::text(std::size_t indent) const {
    const auto shown = shown_table(*this);
    const bool headed = std::any_of(shown.columns.begin(), shown.columns.end(),
                                    [](const ShownColumn& column) { return !column.heading.empty(); });
    std::string out{table_mark, static_cast<char>(indent_base + static_cast<char>(indent)),
                    headed ? with_headings : without_headings};
    for (const auto& column : shown.columns)
        out += column.unit == "lb"          ? pounds_side
               : column.unit == "kg"        ? kilograms_side
               : column.side == Side::right ? right_side
                                            : left_side;
    for (const auto& column : shown.columns) (out += cell_mark) += column.heading_with_unit();
    out += row_mark;
    const auto row_text = [&](const std::vector<std::string>& row) {
        for (const auto& cell : row) (out += cell_mark) += cell;
        out += row_mark;
    };
    for (const auto& row : shown.rows) row_text(row);
    if (!shown.sums.empty()) row_text(shown.sums);
    return out += table_mark;
}

Csv::Csv(std::vector<std::string> headings) {
    headings.insert(headings.begin(), "schema_version");
    line(headings);
}
void Csv::row(const std::vector<std::string>& cells) {
    auto all = cells;
    all.insert(all.begin(), std::to_string(schema_version));
    line(all);
}
void Csv::line(const std::vector<std::string>& cells) {
    CsvText row(out_);
    for (const auto& cell : cells) row.cell(cell);
    row.end_row();
}

std::string pounds_cell(const std::optional<Mass>& mass) {
    return mass ? pounds_text(*mass, 2) : std::string();
}

std::string wrapped(std::string_view text, std::size_t indent) {
    std::string out(indent, ' ');
    for (std::size_t at = 0; at < text.size();) {
        const auto end = std::min(text.find(' ', at), text.size());
        if (end > at) {
            if (out.size() > indent) out += ' ';
            out += text.substr(at, end - at);
        }
        at = end + 1;
    }
    return out.size() > indent ? out + "\n" : std::string();
}

std::string bulleted(std::string_view text) {
    auto lines = wrapped(text, 2);
    if (!lines.empty()) lines.front() = '-';
    return lines;
}

}  // namespace tarebook::report
