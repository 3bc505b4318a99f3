#include "paper.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "letter_widths.hpp"
#include "tarebook/units/utf8.hpp"

namespace tarebook::report {
namespace {

constexpr std::int64_t em = 1000, between = 800;       // thousandths of the font's size, between two columns
constexpr std::size_t longest_whole = 16;              // letters of a cell that is not broken
constexpr double upright_mm = 180, sideways_mm = 253;  // between the margins of A4 and of Letter, the smaller one
constexpr std::string_view turned = "turned";          // how such classes begin
constexpr double mm_of_a_point = 25.4 / 72;

std::int64_t widest_word(std::string_view text, FontWeight weight) {
    std::int64_t widest = 0;
    for (std::size_t at = 0; at < text.size();) {
        const auto end = std::min(text.find(' ', at), text.size());
        widest = std::max(widest, drawn_width(text.substr(at, end - at), weight));
        at = end + 1;
    }
    return widest;
}

// The least width of a column: no heading, figure or short cell is broken. A longer word is.
std::int64_t least_width(const ShownTable& table, std::size_t c) {
    std::int64_t out = widest_word(table.columns[c].heading_with_unit(), FontWeight::bold);
    const auto cell = [&](const std::string& words, FontWeight weight) {
        const bool whole = table.columns[c].side == Side::right || words.size() <= longest_whole;
        out = std::max(out, whole ? drawn_width(words, weight) : std::min(widest_word(words, weight), 12 * em));
    };
    for (const auto& row : table.rows) cell(row[c], FontWeight::regular);
    if (!table.sums.empty()) cell(table.sums[c], FontWeight::bold);
    return out;
}

// Without the letters that turn the direction of all that follows: U+202A..202E and U+2066..2069.
std::string without_turns(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto three = text.substr(i, 3);
        const bool turns = (three >= "\xE2\x80\xAA" && three <= "\xE2\x80\xAE") ||
                           (three >= "\xE2\x81\xA6" && three <= "\xE2\x81\xA9");
        if (turns && three.size() == 3)
            i += 2;
        else
            out += text[i];
    }
    return out;
}

// In a string of CSS, which stands inside an element style: plain letters as they are, all other ASCII by its number.
std::string css_text(std::string_view text) {
    constexpr std::size_t longest = 60;  // bytes; more would run into what stands at the other edge
    const auto straight = without_turns(text);
    std::string out;
    for (const char c : cut_to_bytes(straight, longest)) {
        const auto byte = static_cast<unsigned char>(c);
        const bool plain =
            byte >= 0x80 || c == ' ' || (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
        if (plain)
            out += c;
        else if (byte >= 0x20 && byte != 0x7f)
            out += fmt::format("\\{:x} ", byte);
    }
    return out + (straight.size() > longest ? " ..." : "");
}

}  // namespace

std::string_view paper_class(const ShownTable& table) {
    std::int64_t width = 0;
    for (std::size_t c = 0; c < table.columns.size(); ++c) width += least_width(table, c) + between;
    const double mm_at_a_point = static_cast<double>(width) / static_cast<double>(em) * mm_of_a_point;
    const auto fits = [&](double points, double mm) { return mm_at_a_point * points <= mm; };
    return fits(10, upright_mm)     ? ""
           : fits(8.5, upright_mm)  ? "p8"
           : fits(7, upright_mm)    ? "p7"
           : fits(8.5, sideways_mm) ? "turned p8"
           : fits(7, sideways_mm)   ? "turned p7"
                                    : "turned p6";
}

bool is_sideways(std::string_view paper_class) {
    return paper_class.starts_with(turned);
}

std::string sheet_edges(std::string_view company, std::string_view title) {
    // "..." of letters beyond ASCII are cut between letters, so that the text stays UTF-8
    return fmt::format("@page{{@top-left{{content:\"{}\"}}@top-right{{content:\"{}\"}}}}\n", css_text(company),
                       css_text(title));
}

}  // namespace tarebook::report
