// One field of a table: the words that people read, and what it is to a spreadsheet.
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <variant>

#include "tarebook/event/moment.hpp"
#include "tarebook/units/mass.hpp"

namespace tarebook::report {

struct Blank {};
struct Number {
    double value = 0;
    int decimals = 0;
};
/// What the clock on the wall showed.
struct WallTime {
    std::chrono::seconds since_epoch{};
};

struct Cell {
    /// Words, where nothing else is said. A mass that is not on record still says that its column is one of masses.
    using Value = std::variant<std::monostate, Blank, std::optional<Mass>, Number, std::chrono::year_month, WallTime>;
    std::string text;
    Value value;

    Cell(std::string words) : text(std::move(words)) {}  // NOLINT(google-explicit-constructor)
    Cell(const char* words) : text(words) {}             // NOLINT(google-explicit-constructor)
    Cell(std::string words, Value v) : text(std::move(words)), value(v) {}
};

/// Nothing is on record: a dash to people, an empty field to a spreadsheet.
inline Cell no_cell(std::string_view words = "-") {
    return {std::string(words), Blank{}};
}
inline Cell words_or(const std::optional<std::string>& words, std::string_view otherwise = "-") {
    return words ? Cell(*words) : no_cell(otherwise);
}
inline Cell count_cell(std::int64_t count) {
    return {std::to_string(count), Number{static_cast<double>(count), 0}};
}
Cell mass_cell(const std::optional<Mass>& mass, DisplayUnits units, std::string_view otherwise = "-");
/// Rounded down to what pages show, in the spreadsheet too: for stop weights and room.
Cell mass_cell_down(const std::optional<Mass>& mass, DisplayUnits units, std::string_view otherwise = "-");
Cell month_cell(const std::optional<std::chrono::year_month>& month);
Cell moment_cell(const Moment& moment);

}  // namespace tarebook::report
