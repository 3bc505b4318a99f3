#include "table.hpp"

#include <algorithm>

#include "json.hpp"
#include "tarebook/units/utf8.hpp"
#include "units/csv_text.hpp"

namespace tarebook::report {

Table& Table::column(std::string heading, Side side) {
    columns_.push_back({std::move(heading), side});
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
    const auto count = columns_.size();
    std::vector<std::size_t> widths, of_cells;
    of_cells.reserve(rows_.size() * count);
    for (const auto& column : columns_) widths.push_back(letters_in(column.heading));
    for (const auto& row : rows_)
        for (std::size_t c = 0; c < count; ++c) {
            of_cells.push_back(letters_in(row[c]));
            widths[c] = std::max(widths[c], of_cells.back());
        }
    std::string out;
    std::size_t longest = indent + 1;
    for (const auto w : widths) longest += w + 2;
    out.reserve((rows_.size() + 1) * longest);  // a shop may have ten thousand cylinders
    const auto cell = [&](std::size_t c, const std::string& words, std::size_t width) {
        if (c > 0) out += "  ";
        if (columns_[c].side == Side::right) out.append(widths[c] - width, ' ');
        out += words;
        if (columns_[c].side == Side::left) out.append(widths[c] - width, ' ');
    };
    const auto line = [&](auto&& cells) {
        const auto begun = out.size();
        out.append(indent, ' ');
        cells();
        while (out.size() > begun && out.back() == ' ') out.pop_back();
        out += '\n';
    };
    line([&] {
        for (std::size_t c = 0; c < count; ++c) cell(c, columns_[c].heading, letters_in(columns_[c].heading));
    });
    for (std::size_t r = 0; r < rows_.size(); ++r)
        line([&] {
            for (std::size_t c = 0; c < count; ++c) cell(c, rows_[r][c], of_cells[r * count + c]);
        });
    return out;
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

std::string wrapped(std::string_view text, std::size_t indent, std::size_t width) {
    std::string out;
    std::string line(indent, ' ');
    bool fresh = true;
    for (std::size_t at = 0; at < text.size();) {
        auto end = text.find(' ', at);
        if (end == std::string_view::npos) end = text.size();
        const auto word = text.substr(at, end - at);
        at = end + 1;
        if (word.empty()) continue;
        if (!fresh && line.size() + 1 + word.size() > width) {
            out += line + "\n";
            line.assign(indent, ' ');
            fresh = true;
        }
        if (!fresh) line += ' ';
        line += word;
        fresh = false;
    }
    if (!fresh) out += line + "\n";
    return out;
}

std::string bulleted(std::string_view text) {
    auto lines = wrapped(text, 2);
    if (!lines.empty()) lines.front() = '-';
    return lines;
}

}  // namespace tarebook::report
