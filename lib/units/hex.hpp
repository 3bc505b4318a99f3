// Bytes as hexadecimal digits: lower case and two a byte, so that the same bytes are always spelt alike.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace tarebook {

inline constexpr std::string_view hex_digits = "0123456789abcdef";

/// Writes two digits a byte from `to` on, and gives the end of them.
template <class Out>
Out write_hex(std::string_view bytes, Out to) {
    for (const char c : bytes) {
        const auto byte = static_cast<unsigned char>(c);
        *to++ = hex_digits[byte >> 4U];
        *to++ = hex_digits[byte & 15U];
    }
    return to;
}

inline std::string hex_of_bytes(std::string_view bytes) {
    std::string out(2 * bytes.size(), '0');
    write_hex(bytes, out.begin());
    return out;
}
template <std::size_t N>
std::string hex_of_bytes(const std::array<unsigned char, N>& bytes) {
    return hex_of_bytes({reinterpret_cast<const char*>(bytes.data()), N});
}

/// Whether each letter is such a digit; true of no letters at all.
inline bool is_hex(std::string_view text) {
    unsigned bad = 0;  // no way out in between: the compiler then takes many letters at once
    for (const char c : text) {
        const auto digit = static_cast<unsigned char>(c - '0');
        const auto letter = static_cast<unsigned char>(c - 'a');
        bad |= static_cast<unsigned>(digit > 9) & static_cast<unsigned>(letter > 5);
    }
    return bad == 0;
}

/// Fills `to`. False unless the text is as many of these digits as fill it.
inline bool read_hex(std::string_view text, std::span<unsigned char> to) {
    if (text.size() != 2 * to.size() || !is_hex(text)) return false;
    const auto value = [](char c) { return static_cast<unsigned>(c <= '9' ? c - '0' : c - 'a' + 10); };
    for (std::size_t i = 0; i < to.size(); ++i)
        to[i] = static_cast<unsigned char>(value(text[2 * i]) << 4U | value(text[2 * i + 1]));
    return true;
}

/// The same of a length that is known as the program runs.
inline std::optional<std::string> bytes_from_hex(std::string_view text, std::size_t size) {
    std::string out(size, '\0');
    if (!read_hex(text, {reinterpret_cast<unsigned char*>(out.data()), size})) return std::nullopt;
    return out;
}

}  // namespace tarebook
