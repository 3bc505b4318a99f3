#include "tarebook/refrigerant/spec_mark.hpp"

#include <algorithm>
#include <array>

namespace tarebook {
namespace {

// Types whose mark has the service pressure; 49 CFR 178.36 to 178.61 and the table of 173.304a.
constexpr std::array pressure_types = {"3A",  "3AA", "3AX", "3AAX", "3AL", "3B",  "3E",  "3HT", "3T",
                                       "4AA", "4B",  "4BA", "4BW",  "4D",  "4DA", "4DS", "4E",  "4BET"};
// The marks of ton containers have their test pressure and no service pressure (49 CFR 179.300; from memory).
constexpr std::array test_pressure_types = {"106AX", "110AW"};

template <std::size_t N>
bool is_one_of(const std::array<const char*, N>& types, std::string_view type) {
    return std::find(types.begin(), types.end(), type) != types.end();
}

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
bool is_capital(char c) {
    return c >= 'A' && c <= 'Z';
}

template <class Test>
std::string take(std::string_view& rest, Test test) {
    std::size_t n = 0;
    while (n < rest.size() && test(rest[n])) ++n;
    std::string taken(rest.substr(0, n));
    rest.remove_prefix(n);
    return taken;
}

}  // namespace

std::optional<SpecMark> parse_spec_mark(std::string_view mark) {
    std::string plain;
    for (char c : mark) {
        if (c == ' ' || c == '\t' || c == '-') continue;
        plain += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    }
    std::string_view rest = plain;
    for (std::string_view authority : {"DOT", "ICC"})
        if (rest.starts_with(authority)) {
            rest.remove_prefix(authority.size());
            break;
        }
    if (rest.starts_with("39")) {
        rest.remove_prefix(2);
        if (rest.empty() || rest == "NRC") return SpecMark{"39", std::nullopt, false};
        return std::nullopt;
    }
    const auto family = take(rest, is_digit);
    if (rest.empty() && family == "3") return SpecMark{"3", std::nullopt, true};
    const auto letters = take(rest, is_capital);
    const auto pressure = take(rest, is_digit);
    const auto type = family + letters + std::string(rest);
    if (family.empty() || letters.empty()) return std::nullopt;
    if (is_one_of(test_pressure_types, type) && pressure.size() == 3) return SpecMark{type, std::nullopt, true};
    // 3A480X in the transport table is a 3AX of 480 psig.
    if (!is_one_of(pressure_types, type)) return std::nullopt;
    if (pressure.empty() && rest.empty()) return SpecMark{type, std::nullopt, true};
    if (pressure.size() < 3 || pressure.size() > 4) return std::nullopt;
    return SpecMark{type, std::stoi(pressure), true};
}

}  // namespace tarebook
