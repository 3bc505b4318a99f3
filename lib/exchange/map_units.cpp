#include "map_units.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace tarebook {
namespace {

std::string lower_letters(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c >= 'A' && c <= 'Z') out += static_cast<char>(c - 'A' + 'a');
        if (c >= 'a' && c <= 'z') out += c;
    }
    return out;
}

std::string_view word_of(ColumnUnit unit) {
    switch (unit) {
        case ColumnUnit::lb:
            return "lb";
        case ColumnUnit::lb_oz:
            return "lb-oz";
        case ColumnUnit::kg:
            return "kg";
        case ColumnUnit::litre:
            return "L";
        case ColumnUnit::as_written:
            break;
    }
    return "as written";
}

bool is_of(ColumnUnit unit, std::string_view letters) {
    const auto among = [&](std::initializer_list<std::string_view> words) {
        return std::find(words.begin(), words.end(), letters) != words.end();
    };
    switch (unit) {
        case ColumnUnit::lb:
            return among({"lb", "lbs"});
        case ColumnUnit::lb_oz:
            return among({"lboz", "lbsoz", "lb", "lbs", "oz"});
        case ColumnUnit::kg:
            return among({"kg"});
        case ColumnUnit::litre:
            return among({"l"});
        case ColumnUnit::as_written:
            break;
    }
    return true;
}

bool whole_number(std::string_view s) {
    return !s.empty() && s.find_first_not_of("0123456789") == std::string_view::npos;
}

}  // namespace

Result<ColumnUnit> column_unit_from(const std::string& word, bool is_water_capacity) {
    for (const auto unit : {ColumnUnit::lb, ColumnUnit::lb_oz, ColumnUnit::kg})
        if (word_of(unit) == word) return unit;
    if (is_water_capacity && word == "L") return ColumnUnit::litre;
    return usage("map-unit", "that is not a unit for a column of weights", word,
                 is_water_capacity ? "lb, lb-oz, kg or L" : "lb, lb-oz or kg",
                 "leave it out where every cell has its unit with it");
}

Result<std::string> with_unit(std::string_view cell, ColumnUnit unit) {
    if (unit == ColumnUnit::as_written) return std::string(cell);
    const auto letters = lower_letters(cell);
    if (!letters.empty()) {
        if (is_of(unit, letters)) return std::string(cell);
        return usage("weight-unit", fmt::format("the column is in {}", word_of(unit)), std::string(cell),
                     fmt::format("a number, or one with {} after it", word_of(unit)),
                     "mend the cell; where every cell has its unit with it, leave the unit out of the mapping");
    }
    if (unit != ColumnUnit::lb_oz) return fmt::format("{}{}", cell, word_of(unit));
    // Pounds and ounces as people write them; 27.8 could be either, and is refused.
    const auto parted = cell.find_first_of(" -:");
    if (parted == std::string_view::npos) return std::string(cell);
    const auto pounds = cell.substr(0, parted);
    const auto ounces = cell.substr(parted + 1);
    if (!whole_number(pounds)) return std::string(cell);
    return fmt::format("{} lb {} oz", pounds, ounces);
}

}  // namespace tarebook
