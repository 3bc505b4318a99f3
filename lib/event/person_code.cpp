#include "tarebook/event/person_code.hpp"

#include <algorithm>

#include "tarebook/event/event.hpp"
#include "units/hex.hpp"

namespace tarebook {
namespace {
constexpr std::size_t code_digits = 32;
}

bool is_person_code(std::string_view text) {
    if (!text.starts_with(person_prefix) || text.size() != person_prefix.size() + code_digits) return false;
    text.remove_prefix(person_prefix.size());
    return std::all_of(text.begin(), text.end(),
                       [](char c) { return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f'); });
}

std::string person_code(std::string_view salt, std::string_view name) {
    std::string said("tarebook person\n");
    said.append(hex_of_bytes(salt)).append("\n").append(name);
    return std::string(person_prefix) + hex(digest_of(said)).substr(0, code_digits);
}

std::string short_person(std::string_view code) {
    constexpr std::size_t shown_digits = 8;
    return "person " + std::string(code.substr(std::min(code.size(), person_prefix.size()), shown_digits));
}

}  // namespace tarebook
