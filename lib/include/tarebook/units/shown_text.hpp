// Text that came from outside, made harmless for those who read it: letters that a terminal obeys, or that turn the
// order of others around, are written out, and a spreadsheet computes nothing.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace tarebook {

/// How shown_text writes out control characters of C0 (but line feed and tab), DEL and C1, marks that change the
/// direction of text (U+061C, U+200E, U+200F, U+202A to U+202E, U+2066 to U+2069), separators of lines (U+2028,
/// U+2029), U+FEFF, tags (U+E0000 to U+E007F), and bytes that are no UTF-8. Sources: ECMA-48 5th edition; Unicode 15,
/// chapter 23; UAX #9.
enum class Form {
    text,  ///< \x1b below U+0080 and for a byte that is no UTF-8, \u{202e} for the others
    json   ///< \u202e, which a reader of JSON takes for the letter itself; \ufffd for a byte that is no UTF-8
};
/// The text with the letters of Form written out. A line end of CR and LF stays.
std::string shown_text(std::string_view text, Form form = Form::text);

/// How many bytes at the end of a piece of text begin a letter, or a line end of CR and LF, and do not end it: at most
/// three. Who shows text in pieces keeps these for the next one.
std::size_t unfinished_letter(std::string_view piece);

/// A cell of a CSV file. The letters of Form stand as \u{202e}, and a backslash before "u{" as \u{5c}. A cell that a
/// spreadsheet would compute (is_computed), or that begins with an apostrophe, has an apostrophe before it. A program
/// takes the apostrophe off where one of these follows it, and then \u{...} for the letter.
std::string cell_text(std::string_view text);
/// The text of which cell_text made the cell.
std::string text_of_cell(std::string_view cell);

/// Whether a spreadsheet takes the text for a formula: two letters at least, the first of them = + - @ (narrow or
/// wide), a tab or CR, and no number.
bool is_computed(std::string_view text);

}  // namespace tarebook
