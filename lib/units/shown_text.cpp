#include "tarebook/units/shown_text.hpp"

#include <algorithm>
#include <charconv>
#include <cstdint>
#include <cstdio>

#include "tarebook/units/utf8.hpp"

namespace tarebook {
namespace {

bool is_obeyed(std::uint32_t c) {
    return (c < 0x20 && c != '\n' && c != '\t') || (c >= 0x7f && c < 0xa0) || c == 0x61c || c == 0x200e ||
           c == 0x200f || (c >= 0x2028 && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069) || c == 0xfeff ||
           (c >= 0xe0000 && c <= 0xe007f);
}

// True for a byte that is neither escaped nor the first byte of such a letter. Most text has no other bytes.
bool is_plain(char c) {
    const auto byte = static_cast<unsigned char>(c);
    return (byte >= 0x20 && byte < 0x7f) || c == '\n' || c == '\t';
}

std::string hex_number(std::uint32_t number, int width) {
    char out[16];
    return {out, static_cast<std::size_t>(std::snprintf(out, sizeof out, "%0*x", width, number))};
}

std::string json_escape(std::uint32_t code) {
    if (code < 0x10000) return "\\u" + hex_number(code, 4);
    const auto rest = code - 0x10000;
    return "\\u" + hex_number(0xd800 + (rest >> 10U), 4) + "\\u" + hex_number(0xdc00 + (rest & 0x3ffU), 4);
}

// crlf: a return before a line feed is kept, as CSV and calendars have it.
enum class LineEnd { crlf, lf };

template <class Show>
std::string with_shown(std::string_view text, LineEnd ends, Show&& show) {
    std::string out;
    out.reserve(text.size());
    for (std::size_t at = 0; at < text.size();) {
        const auto* const end = std::find_if_not(text.begin() + at, text.end(), is_plain);
        const auto next = static_cast<std::size_t>(end - text.begin());
        out += text.substr(at, next - at);
        at = next;
        if (at == text.size()) break;
        const auto letter = letter_at(text.substr(at));
        const bool ends_line = ends == LineEnd::crlf && text.substr(at, 2) == "\r\n";
        if (ends_line || (letter.whole && !is_obeyed(letter.code)))
            out += text.substr(at, letter.size);
        else
            out += show(letter);
        at += letter.size;
    }
    return out;
}

bool is_number(std::string_view text) {
    if (!text.empty() && (text[0] == '+' || text[0] == '-')) text.remove_prefix(1);
    const auto digits = [&] {
        const auto end = std::min(text.find_first_not_of("0123456789"), text.size());
        text.remove_prefix(end);
        return end > 0;
    };
    if (!digits()) return false;
    if (text.empty()) return true;
    if (text[0] != '.') return false;
    text.remove_prefix(1);
    return digits() && text.empty();
}

}  // namespace

std::string shown_text(std::string_view text, Form form) {
    return with_shown(text, LineEnd::crlf, [form](const Utf8Letter& l) {
        if (form == Form::json) return l.whole ? json_escape(l.code) : std::string("\\ufffd");
        return !l.whole || l.code < 0x80 ? "\\x" + hex_number(l.code, 2) : "\\u{" + hex_number(l.code, 1) + "}";
    });
}

std::size_t unfinished_letter(std::string_view piece) {
    if (piece.ends_with('\r')) return 1;
    for (std::size_t back = 1; back <= std::min<std::size_t>(3, piece.size()); ++back) {
        const char c = piece[piece.size() - back];
        if ((static_cast<unsigned char>(c) & 0xc0U) == 0x80U) continue;
        return letter_size(c) > back ? back : 0;
    }
    return 0;
}

bool is_computed(std::string_view text) {
    if (text.size() < 2 || is_number(text)) return false;
    // The full-width forms are taken for formulas too: U+FF1D, U+FF0B, U+FF0D, U+FF20.
    constexpr std::string_view wide[] = {"\xef\xbc\x9d", "\xef\xbc\x8b", "\xef\xbc\x8d", "\xef\xbc\xa0"};
    return std::string_view("=+-@\t\r").find(text[0]) != std::string_view::npos ||
           std::any_of(std::begin(wide), std::end(wide), [&](auto sign) { return text.starts_with(sign); });
}

std::string cell_text(std::string_view text) {
    std::string kept;
    for (auto at = text.find("\\u{"); at != std::string_view::npos; at = text.find("\\u{")) {
        kept.append(text.substr(0, at)).append("\\u{5c}");
        text.remove_prefix(at + 1);
    }
    kept += text;
    auto out = with_shown(kept, LineEnd::lf, [](const Utf8Letter& l) { return "\\u{" + hex_number(l.code, 1) + "}"; });
    if (is_computed(out) || out.starts_with('\'')) out.insert(out.begin(), '\'');
    return out;
}

std::string text_of_cell(std::string_view cell) {
    if (cell.starts_with('\'') && (is_computed(cell.substr(1)) || cell.substr(1).starts_with('\'')))
        cell.remove_prefix(1);
    std::string out;
    while (!cell.empty()) {
        std::uint32_t code = 0;
        const auto end = cell.starts_with("\\u{") ? cell.find('}') : std::string_view::npos;
        const bool letter = end != std::string_view::npos &&
                            std::from_chars(cell.data() + 3, cell.data() + end, code, 16).ptr == cell.data() + end &&
                            end > 3 && code <= 0x10ffff;
        if (!letter) {
            out += cell[0];
            cell.remove_prefix(1);
            continue;
        }
        if (code < 0x80) {
            out += static_cast<char>(code);
        } else if (code < 0x800) {
            out += static_cast<char>(0xc0U | code >> 6U);
            out += static_cast<char>(0x80U | (code & 0x3fU));
        } else if (code < 0x10000) {
            out += static_cast<char>(0xe0U | code >> 12U);
            out += static_cast<char>(0x80U | (code >> 6U & 0x3fU));
            out += static_cast<char>(0x80U | (code & 0x3fU));
        } else {
            out += static_cast<char>(0xf0U | code >> 18U);
            out += static_cast<char>(0x80U | (code >> 12U & 0x3fU));
            out += static_cast<char>(0x80U | (code >> 6U & 0x3fU));
            out += static_cast<char>(0x80U | (code & 0x3fU));
        }
        cell.remove_prefix(end + 1);
    }
    return out;
}

}  // namespace tarebook
