#include "layout.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "table.hpp"
#include "tarebook/units/fitted_text.hpp"
#include "tarebook/units/utf8.hpp"

namespace tarebook::report {
namespace {

constexpr std::size_t between = 2;  // blanks between two columns, and what a card's lines are indented by
constexpr std::size_t narrow = 60;  // below it, headings alone are broken
constexpr std::string_view no_words;

// A table as its marks say it. Its words are in the marked text.
struct MarkedTable {
    std::size_t indent = 0, between = report::between;
    bool headed = true;
    std::vector<Side> sides;
    std::vector<std::string_view> units;  // " lb" where the heading ends in ", lb"; else empty
    std::vector<std::string_view> cells;  // row after row, the headings first
    [[nodiscard]] std::size_t columns() const { return sides.size(); }
    [[nodiscard]] std::size_t rows() const { return cells.size() / sides.size(); }
    [[nodiscard]] std::string_view cell(std::size_t row, std::size_t column) const {
        return cells[row * columns() + column];
    }
    [[nodiscard]] std::size_t first_row() const { return headed ? 0 : 1; }
    // Without its unit, which each figure has then.
    [[nodiscard]] std::string_view bare_heading(std::size_t column) const {
        const auto heading = cell(0, column);
        return units[column].empty() ? heading : heading.substr(0, heading.size() - units[column].size() - 1);
    }
    [[nodiscard]] std::string with_unit(std::size_t row, std::size_t column) const;
    // Adds a column's side and unit.
    void add_side_of(const MarkedTable& other, std::size_t column) {
        sides.push_back(other.sides[column]);
        units.push_back(other.units[column]);
    }
};

// Precondition: `marked` begins behind a table_mark and ends before one.
MarkedTable read_table(std::string_view marked) {
    MarkedTable out;
    out.indent = static_cast<std::size_t>(marked[0] - indent_base);
    out.headed = marked[1] == with_headings;
    std::size_t at = 2;
    for (; at < marked.size() && marked[at] != cell_mark; ++at) {
        out.sides.push_back(marked[at] == left_side ? Side::left : Side::right);
        out.units.emplace_back(marked[at] == pounds_side ? " lb" : marked[at] == kilograms_side ? " kg" : "");
    }
    constexpr char ends[] = {cell_mark, row_mark, 0};
    while (at < marked.size()) {
        if (marked[at] == row_mark) {
            ++at;
            continue;
        }
        const auto end = std::min(marked.find_first_of(ends, at + 1), marked.size());
        out.cells.push_back(marked.substr(at + 1, end - at - 1));
        at = end;
    }
    return out;
}

using ColumnWidths = std::vector<std::size_t>;

std::size_t longest_word(std::string_view text) {
    std::size_t longest = 0;
    for (std::size_t at = 0; at < text.size();) {
        const auto end = std::min(text.find(' ', at), text.size());
        longest = std::max(longest, letters_in(text.substr(at, end - at)));
        at = end + 1;
    }
    return longest;
}

std::size_t total(const MarkedTable& t, const ColumnWidths& widths) {
    std::size_t sum = t.indent;
    for (const auto w : widths) sum += w + t.between;
    return widths.empty() ? sum : sum - t.between;
}

ColumnWidths natural_widths(const MarkedTable& t) {
    ColumnWidths out(t.columns(), 0);
    for (std::size_t i = t.first_row() * t.columns(); i < t.cells.size(); ++i)
        out[i % t.columns()] = std::max(out[i % t.columns()], letters_in(t.cells[i]));
    return out;
}

enum class Broken { headings, cells };

// A weight, a day, a number: kept with its unit.
bool is_number(std::string_view cell) {
    constexpr std::string_view signs = "+-";
    const auto digit = cell.find_first_not_of(signs);
    return digit != std::string_view::npos && cell[digit] >= '0' && cell[digit] <= '9' &&
           std::count(cell.begin(), cell.end(), ' ') < 2;
}

std::string MarkedTable::with_unit(std::size_t row, std::size_t column) const {
    const auto words = cell(row, column);
    return std::string(words).append(is_number(words) ? units[column] : no_words);
}

// The narrowest columns that break no word. A number and its unit stay together.
ColumnWidths least_widths(const MarkedTable& t, Broken what) {
    ColumnWidths out(t.columns(), 0);
    for (std::size_t row = t.first_row(); row < t.rows(); ++row)
        for (std::size_t c = 0; c < t.columns(); ++c) {
            // so do the words in place of a figure: DO NOT FILL
            const bool figures = !t.units[c].empty() || is_number(t.cell(row, c));
            const bool whole = row > 0 && (what == Broken::headings || figures);
            out[c] = std::max(out[c], whole ? letters_in(t.cell(row, c)) : longest_word(t.cell(row, c)));
        }
    return out;
}

// Takes from the widest columns until all fit. Empty if they cannot.
ColumnWidths broken_widths(const MarkedTable& t, ColumnWidths widths, std::size_t width, Broken what) {
    const auto least = least_widths(t, what);
    if (total(t, least) > width) return {};
    while (total(t, widths) > width) {
        std::size_t widest = t.columns();
        for (std::size_t c = 0; c < t.columns(); ++c)
            if (widths[c] > least[c] && (widest == t.columns() || widths[c] > widths[widest])) widest = c;
        --widths[widest];
    }
    return widths;
}

std::vector<std::string> lines_of(std::string_view cell, std::size_t width) {
    std::vector<std::string> out;
    std::string line;
    for (std::size_t at = 0; at < cell.size();) {
        const auto end = std::min(cell.find(' ', at), cell.size());
        const auto word = cell.substr(at, end - at);
        if (!line.empty() && letters_in(line) + 1 + letters_in(word) > width) out.push_back(std::exchange(line, {}));
        if (!line.empty()) line += ' ';
        line += word;
        at = end + 1;
    }
    out.push_back(std::move(line));
    return out;
}

// What the broken cells need of these widths.
ColumnWidths tight_widths(const MarkedTable& t, const ColumnWidths& widths) {
    ColumnWidths out(t.columns(), 0);
    for (std::size_t row = t.first_row(); row < t.rows(); ++row)
        for (std::size_t c = 0; c < t.columns(); ++c)
            for (const auto& line : lines_of(t.cell(row, c), widths[c])) out[c] = std::max(out[c], letters_in(line));
    return out;
}

class RowWriter {
 public:
    RowWriter(std::string& out, const MarkedTable& t, const ColumnWidths& widths) : out_(out), t_(t), widths_(widths) {}

    // `cell_of(column)`: the words of one line.
    template <class CellOf>
    void line(const CellOf& cell_of) {
        const auto begun = out_.size();
        out_.append(t_.indent, ' ');
        for (std::size_t c = 0; c < t_.columns(); ++c) {
            const std::string_view words = cell_of(c);
            const auto letters = letters_in(words);
            const auto pad = widths_[c] - std::min(widths_[c], letters);
            if (c > 0) out_.append(t_.between, ' ');
            if (t_.sides[c] == Side::right) out_.append(pad, ' ');
            out_ += words;
            if (t_.sides[c] == Side::left) out_.append(pad, ' ');
        }
        while (out_.size() > begun && out_.back() == ' ') out_.pop_back();
        out_ += '\n';
    }

 private:
    std::string& out_;
    const MarkedTable& t_;
    const ColumnWidths& widths_;
};

void add_whole(std::string& out, const MarkedTable& t, const ColumnWidths& widths) {
    out.reserve(out.size() + t.rows() * (total(t, widths) + 1));  // a shop may have ten thousand cylinders
    RowWriter writer(out, t, widths);
    for (std::size_t row = t.first_row(); row < t.rows(); ++row)
        writer.line([&](std::size_t c) { return t.cell(row, c); });
}

// `below`: lines under each row, or none.
std::string broken_text(const MarkedTable& t, const ColumnWidths& widths, const std::vector<std::string>& below = {}) {
    std::string text;
    RowWriter writer(text, t, widths);
    for (std::size_t row = t.first_row(); row < t.rows(); ++row) {
        std::vector<std::vector<std::string>> cells;
        std::size_t lines = 0;
        for (std::size_t c = 0; c < t.columns(); ++c) {
            cells.push_back(lines_of(t.cell(row, c), widths[c]));
            lines = std::max(lines, cells.back().size());
        }
        for (std::size_t i = 0; i < lines; ++i)
            writer.line([&](std::size_t c) { return i < cells[c].size() ? std::string_view(cells[c][i]) : no_words; });
        if (!below.empty()) text += below[row];
    }
    return text;
}

// A cell that says nothing: no words, or the dash that stands for them.
bool says_nothing(std::string_view cell) {
    return cell.empty() || cell == "-";
}

// The table without the columns in which no row says anything; their headings come into `none`.
MarkedTable without_empty_columns(const MarkedTable& t, std::string& none) {
    MarkedTable out = t;
    out.sides.clear(), out.units.clear(), out.cells.clear();
    std::vector<bool> is_empty(t.columns(), true);
    for (std::size_t i = t.columns(); i < t.cells.size(); ++i)
        is_empty[i % t.columns()] = is_empty[i % t.columns()] && says_nothing(t.cells[i]);
    for (std::size_t c = 0; c < t.columns(); ++c) {
        if (!is_empty[c]) out.add_side_of(t, c);
        if (is_empty[c] && !t.cell(0, c).empty())
            (none += none.empty() ? "no row has anything under: " : ", ") += t.bare_heading(c);
    }
    for (std::size_t i = 0; i < t.cells.size(); ++i)
        if (!is_empty[i % t.columns()]) out.cells.push_back(t.cells[i]);
    return out;
}

// A card a row: what it has, a line each.
std::string cards_text(const MarkedTable& t, std::size_t width) {
    std::string out;
    std::size_t label = 0;
    for (std::size_t c = 0; c < t.columns(); ++c) label = std::max(label, letters_in(t.bare_heading(c)));
    const auto column = t.indent + between + label + between;
    for (std::size_t row = 1; row < t.rows(); ++row) {
        bool first = true;
        for (std::size_t c = 0; c < t.columns(); ++c) {
            if (says_nothing(t.cell(row, c))) continue;
            std::string line(t.indent + (first ? 0 : between), ' ');
            if (const auto heading = t.bare_heading(c); !heading.empty())
                (line += heading).append(column - (line.size() - heading.size() + letters_in(heading)), ' ');
            out += fitted_text(line += t.with_unit(row, c), width) + "\n";
            first = false;
        }
    }
    return out;
}

// The first columns of a table.
MarkedTable first_columns(const MarkedTable& t, std::size_t columns) {
    MarkedTable out = t;
    out.sides.resize(columns), out.units.resize(columns);
    out.cells.clear();
    for (std::size_t i = 0; i < t.cells.size(); ++i)
        if (i % t.columns() < columns) out.cells.push_back(t.cells[i]);
    return out;
}

// What the other columns have, under each row.
std::vector<std::string> rest_of_rows(const MarkedTable& t, std::size_t first, std::size_t width) {
    std::vector<std::string> out(1);  // the headings have nothing below them
    for (std::size_t row = 1; row < t.rows(); ++row) {
        std::string line;
        for (std::size_t c = first; c < t.columns(); ++c) {
            if (says_nothing(t.cell(row, c))) continue;
            line += line.empty() ? std::string(t.indent + 2 * between, ' ') : "; ";
            (line += t.bare_heading(c)) += t.cell(0, c).empty() ? "" : " ";
            line += t.with_unit(row, c);
        }
        out.push_back(line.empty() ? line : fitted_text(line, width) + "\n");
    }
    return out;
}

// The table with its cells broken; the last columns below their row, if there is no room beside it. Empty where it does
// not fit.
std::string broken_table(MarkedTable t, std::size_t width) {
    const auto what = width < narrow ? Broken::headings : Broken::cells;
    const auto least_kept = width < narrow ? t.columns() : std::min<std::size_t>(t.columns(), 4);
    for (auto kept = t.columns(); kept >= least_kept; --kept) {
        auto shown = first_columns(t, kept);
        for (const std::size_t blanks : {between, std::size_t{1}}) {
            shown.between = blanks;
            auto widths = natural_widths(shown);
            if (total(shown, widths) > width) widths = broken_widths(shown, widths, width, what);
            if (widths.empty()) continue;
            widths = tight_widths(shown, widths);
            return kept == t.columns() ? broken_text(shown, widths)
                                       : broken_text(shown, widths, rest_of_rows(t, kept, width));
        }
    }
    return {};
}

void add_table(std::string& out, const MarkedTable& whole, std::size_t width) {
    const auto widths = natural_widths(whole);
    if (total(whole, widths) <= width) return add_whole(out, whole, widths);
    if (whole.rows() == 1) {
        std::string headings;
        add_whole(headings, whole, widths);
        out += fitted_text(headings, width);
        return;
    }
    std::string none;
    const auto t = without_empty_columns(whole, none);
    const auto table = broken_table(t, width), cards = cards_text(t, width);
    const auto lines = [](const std::string& text) { return std::count(text.begin(), text.end(), '\n'); };
    out += table.empty() || lines(table) > lines(cards) ? cards : table;
    if (!none.empty()) out += fitted_text(std::string(t.indent, ' ') + none, width) + "\n";
}

}  // namespace

std::string laid_out(std::string_view marked, std::size_t width) {
    std::string out;
    out.reserve(marked.size());
    for (std::size_t at = 0; at < marked.size();) {
        const auto begin = std::min(marked.find(table_mark, at), marked.size());
        out += fitted_text(marked.substr(at, begin - at), width);
        if (begin == marked.size()) break;
        const auto end = std::min(marked.find(table_mark, begin + 1), marked.size());
        add_table(out, read_table(marked.substr(begin + 1, end - begin - 1)), width);
        at = end + 1;
    }
    return out;
}

}  // namespace tarebook::report
