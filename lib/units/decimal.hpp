// Reads exact decimal numbers off the front of typed text, for every quantity that people type.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "tarebook/units/word_list.hpp"

namespace tarebook::decimal {

inline bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
inline bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/// The number is scaled / scale. `digits` is how many digits were read, 0 where there was no number.
struct Number {
    std::int64_t scaled = 0;
    std::int64_t scale = 1;
    int digits = 0;
    [[nodiscard]] double value() const { return static_cast<double>(scaled) / static_cast<double>(scale); }
};

/// Reads digits with at most one point off the front of `rest`. Above 18 digits only `digits` is right.
inline Number take_number(std::string_view& rest) {
    Number n;
    bool point = false;
    while (!rest.empty()) {
        const char c = rest.front();
        if (c == '.' && !point && rest.size() > 1 && is_digit(rest[1])) {
            point = true;
        } else if (is_digit(c)) {
            if (++n.digits <= 18) {
                n.scaled = n.scaled * 10 + (c - '0');
                if (point) n.scale *= 10;
            }
        } else {
            break;
        }
        rest.remove_prefix(1);
    }
    return n;
}

inline std::string_view take_letters(std::string_view& rest) {
    std::size_t n = 0;
    while (n < rest.size() && is_letter(rest[n])) ++n;
    const auto word = rest.substr(0, n);
    rest.remove_prefix(n);
    return word;
}

inline std::string lower(std::string_view s) {
    std::string out(s);
    for (char& c : out)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return out;
}

/// A number, then letters, then the end: the form of every typed quantity except a weight in pounds and ounces.
struct Figure {
    std::string text;  ///< as typed, without blanks around it
    std::string unit;  ///< in lower case
    double value = 0;
    bool negative = false;
    bool ok = false;
};
inline Figure figure(std::string_view typed) {
    Figure f;
    f.text = std::string(trimmed(typed));
    std::string_view rest = f.text;
    f.negative = rest.starts_with('-');
    if (f.negative) rest.remove_prefix(1);
    const auto number = take_number(rest);
    if (number.digits == 0 || number.digits > 15) return f;
    rest = trimmed(rest);
    f.unit = lower(take_letters(rest));
    f.ok = rest.empty();
    f.value = f.negative ? -number.value() : number.value();
    return f;
}

}  // namespace tarebook::decimal
