#include "tarebook/units/utf8.hpp"

#include <algorithm>

namespace tarebook {
namespace {

bool goes_on(char c) {
    return (static_cast<unsigned char>(c) & 0xc0U) == 0x80U;
}

}  // namespace

std::size_t letter_size(char c) {
    const auto first = static_cast<unsigned char>(c);
    return first < 0x80                    ? 1
           : first >= 0xc2 && first < 0xe0 ? 2
           : first >= 0xe0 && first < 0xf0 ? 3
           : first >= 0xf0 && first < 0xf5 ? 4
                                           : 0;
}

Utf8Letter letter_at(std::string_view text) {
    const auto first = static_cast<unsigned char>(text[0]);
    const auto size = letter_size(text[0]);
    if (size == 1) return {first, 1, true};
    if (size == 0 || text.size() < size) return {first, 1, false};
    std::uint32_t code = first & (0xffU >> (size + 1));
    for (std::size_t i = 1; i < size; ++i) {
        if (!goes_on(text[i])) return {first, 1, false};
        code = code << 6U | (static_cast<unsigned char>(text[i]) & 0x3fU);
    }
    const bool overlong = (size == 3 && code < 0x800) || (size == 4 && code < 0x10000);
    if (overlong || code > 0x10ffff || (code >= 0xd800 && code < 0xe000)) return {first, 1, false};
    return {code, size, true};
}

bool is_utf8(std::string_view text) {
    for (std::size_t i = 0; i < text.size();) {
        if (static_cast<unsigned char>(text[i]) < 0x80) {
            ++i;
            continue;
        }
        const auto letter = letter_at(text.substr(i));
        if (!letter.whole) return false;
        i += letter.size;
    }
    return true;
}

std::size_t letters_in(std::string_view text) {
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) { return !goes_on(c); }));
}

std::string_view cut_to_letters(std::string_view text, std::size_t most) {
    std::size_t bytes = 0, seen = 0;
    for (; bytes < text.size(); ++bytes)
        if (!goes_on(text[bytes]) && seen++ == most) break;
    return text.substr(0, bytes);
}

std::string_view cut_to_bytes(std::string_view text, std::size_t most) {
    if (text.size() <= most) return text;
    auto end = most;
    for (int back = 0; back < 3 && end > 0 && goes_on(text[end]); ++back) --end;
    return text.substr(0, goes_on(text[end]) ? most : end);  // bytes that are no UTF-8 are cut anywhere
}

std::string shortened(std::string_view text, std::size_t most) {
    const auto kept = cut_to_bytes(text, most);
    return std::string(kept) + (kept.size() < text.size() ? "..." : "");
}

}  // namespace tarebook
