// The last step of a text page: paragraphs and tables, which report's functions put into one text without knowing how
// wide it will be, become lines of a width.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace tarebook::report {

/// Marks of a table inside such a text (Table::text writes them): bytes that are in no UTF-8 text. A table is
/// table_mark, a letter for its indent, one for its headings, one for each column's side, its rows, table_mark. A row
/// is its cells, each behind a cell_mark, and a row_mark; the first row has the headings.
inline constexpr char table_mark = '\xFF', cell_mark = '\xFE', row_mark = '\xFD';
inline constexpr char indent_base = '0', with_headings = 'h', without_headings = 'n', left_side = 'l', right_side = 'r';
/// Figures of one unit, which stands at the end of their heading: "net, lb". Away from its heading a figure has its
/// unit.
inline constexpr char pounds_side = 'p', kilograms_side = 'k';

/// Lines of at most `width` letters, but for longer words. A table that does not fit names the columns in which no row
/// has anything below it, and its headings are broken at blanks; from sixty letters on so are its cells, and columns
/// for which there is no room go below their row. Where it does not fit then, or would have more lines than cards, it
/// becomes cards: one below the other, each line a heading and its value.
std::string laid_out(std::string_view marked, std::size_t width);

}  // namespace tarebook::report
