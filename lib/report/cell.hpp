// One field of a table: its text for people, and its type in a spreadsheet.
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
/// A mass as people read it. Without one the field has words or a dash, and its column is still one of masses.
struct ShownMass {
    std::optional<Mass> mass;
    DisplayUnits units = DisplayUnits::lb;
    bool plus = false;  ///< what is above zero has a plus
};
/// A local date and time without a zone.
struct WallTime {
    std::chrono::seconds since_epoch{};
};

struct Cell {
    /// Text, unless another type is given.
    using Value = std::variant<std::monostate, Blank, ShownMass, Number, std::chrono::year_month, WallTime>;
    std::string text;
    Value value;

    Cell(std::string words) : text(std::move(words)) {}  // NOLINT(google-explicit-constructor)
    Cell(const char* words) : text(words) {}             // NOLINT(google-explicit-constructor)
    Cell(std::string words, Value v) : text(std::move(words)), value(v) {}
};

/// A value that is not on record: a dash for people, an empty field in a spreadsheet.
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
/// Rounded down as on pages, in the spreadsheet too: for stop weights and room.
Cell mass_cell_down(const std::optional<Mass>& mass, DisplayUnits units, std::string_view otherwise = "-");
Cell month_cell(const std::optional<std::chrono::year_month>& month);
Cell moment_cell(const Moment& moment);

}  // namespace tarebook::report
