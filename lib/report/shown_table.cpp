#include "shown_table.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "tarebook/units/refused.hpp"

namespace tarebook::report {
namespace {

const ShownMass* mass_in(const Table& table, std::size_t row, std::size_t column) {
    return std::get_if<ShownMass>(&table.value(row, column));
}

// Whether the words beside masses leave them a column of one unit: none, a dash, or what stands in for a mass.
bool has_one_unit(const Table& table, std::size_t column) {
    bool any = false;
    for (std::size_t row = 0; row < table.rows().size(); ++row) {
        const auto* shown = mass_in(table, row, column);
        const auto& words = table.rows()[row][column];
        if (!shown && !words.empty() && words != "-") return false;
        any = any || (shown && shown->mass);
    }
    return any;
}

int decimals_of(const Table& table, std::size_t columns) {
    int most = 2;
    for (std::size_t row = 0; row < table.rows().size(); ++row)
        for (std::size_t c = 0; c < columns; ++c)
            if (const auto* shown = mass_in(table, row, c); shown && shown->mass)
                most = std::max(most, tarebook::decimals_of(*shown->mass, shown->units));
    return most;
}

std::string figure(const ShownMass& shown, int decimals) {
    auto out = mass_number(*shown.mass, shown.units, decimals);
    const bool zero = out.find_first_of("123456789") == std::string::npos;
    return shown.plus && !zero && *shown.mass > Mass() ? "+" + out : out;
}

constexpr auto nothing_moved = "-";

// The sum of a column of masses, or of numbers that all have their figure. Empty where there is none.
std::string sum_text(const Table& table, std::size_t column, std::string_view unit, int decimals) {
    const auto& what = table.columns()[column];
    if (what.figures != Figures::summed && what.figures != Figures::moved) return {};
    MassTotal mass;
    double number = 0;
    int number_decimals = -1;
    DisplayUnits units = DisplayUnits::lb;
    for (std::size_t row = 0; row < table.rows().size(); ++row) {
        if (const auto* shown = mass_in(table, row, column)) {
            if (shown->mass) mass += *shown->mass, units = shown->units;
        } else if (const auto* n = std::get_if<Number>(&table.value(row, column))) {
            number += n->value, number_decimals = std::max(number_decimals, n->decimals);
        } else if (const auto& words = table.rows()[row][column]; !words.empty() && words != "-") {
            return {};
        }
    }
    if (number_decimals >= 0) return fmt::format("{:.{}f}", number, number_decimals);
    if (unit.empty()) return {};
    if (mass.is_zero() && what.figures == Figures::moved) return nothing_moved;
    try {
        return mass_number(mass.value(), units, decimals);
    } catch (const Refused&) {
        return "too large";
    }
}

std::vector<std::string> sums_of(const Table& table, const ShownTable& shown, int decimals) {
    if (table.rows().size() < 2) return {};
    std::vector<std::string> out;
    std::size_t label = table.columns().size();
    bool any = false, all_known = true;
    for (std::size_t c = 0; c < table.columns().size(); ++c) {
        out.push_back(sum_text(table, c, shown.columns[c].unit, decimals));
        any = any || (!out.back().empty() && out.back() != nothing_moved);
        if (out.back().empty() && table.columns()[c].side == Side::left) label = std::min(label, c);
        for (std::size_t row = 0; row < table.rows().size() && !out.back().empty(); ++row)
            if (const auto* mass = mass_in(table, row, c)) all_known = all_known && mass->mass;
    }
    if (!any || label == out.size()) return {};
    out[label] = all_known ? "all" : "all on record";
    return out;
}

}  // namespace

std::string ShownColumn::heading_with_unit() const {
    return unit.empty() || heading.empty() ? heading : fmt::format("{}, {}", heading, unit);
}

ShownTable shown_table(const Table& table) {
    ShownTable out;
    const auto columns = table.columns().size();
    const int decimals = decimals_of(table, columns);
    for (std::size_t c = 0; c < columns; ++c) {
        const auto& column = table.columns()[c];
        std::string_view unit;
        if (!column.heading.empty() && has_one_unit(table, c))
            for (std::size_t row = 0; row < table.rows().size() && unit.empty(); ++row)
                if (const auto* shown = mass_in(table, row, c); shown && shown->mass) unit = text_of(shown->units);
        out.columns.push_back({column.heading, column.side, unit});
    }
    out.rows = table.rows();
    for (std::size_t row = 0; row < out.rows.size(); ++row)
        for (std::size_t c = 0; c < columns; ++c) {
            const auto* shown = mass_in(table, row, c);
            const auto figures = table.columns()[c].figures;
            const bool moved = figures == Figures::moved || figures == Figures::moved_with_sums;
            auto& words = out.rows[row][c];
            if (words.empty()) continue;
            if (shown && shown->mass && moved && shown->mass->is_zero())
                words = nothing_moved;
            else if (shown && shown->mass && !out.columns[c].unit.empty())
                words = figure(*shown, decimals);
            else if (shown && shown->mass && table.columns()[c].heading.empty())
                words = figure(*shown, decimals).append(" ").append(text_of(shown->units));
            else if (const auto* n = std::get_if<Number>(&table.value(row, c)); n && moved && n->value == 0)
                words = nothing_moved;
        }
    out.sums = sums_of(table, out, decimals);
    return out;
}

}  // namespace tarebook::report
