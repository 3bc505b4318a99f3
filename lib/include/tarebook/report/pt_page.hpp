// Pressure and temperature at saturation, as a page: one point, or a table to print. Needs no book.
//
//     PtQuestion question{Catalogue().find("R-448A")};
//     question.at = parse_pt_at("118psig").value();
//     std::cout << pt_page(question, options).value().body;
#pragma once

#include <optional>
#include <string>
#include <variant>

#include "tarebook/report/report.hpp"
#include "tarebook/units/atmosphere.hpp"

namespace tarebook {

/// How a page writes pressures: psig and bar_gauge as a gauge shows them at the barometer of the question, the others
/// absolute.
enum class PressureUnit { psig, kilopascals, bar, bar_gauge };

/// The barometer that gauge pressures go by, and how it is known.
struct Barometer {
    AbsolutePressure pressure = standard_atmosphere();
    std::string basis = "standard atmosphere";

    /// The mean one of a height, or one that was read.
    static Barometer at(Altitude altitude);
    static Barometer read(AbsolutePressure pressure) { return {pressure, "as read"}; }
};

/// The barometer from --altitude or --barometer, as typed; the standard atmosphere where neither was. Errors (usage):
/// altitude-and-barometer, and those of parse_altitude and parse_barometer.
Result<Barometer> parse_place(const std::optional<std::string>& altitude, const std::optional<std::string>& barometer);

/// The point that is asked for.
using PtAt = std::variant<Temperature, PressureReading>;

/// Takes `70F` and `21C` as temperatures, all else as a pressure. Errors (usage): pt-no-unit, and those of
/// parse_temperature and parse_pressure.
Result<PtAt> parse_pt_at(std::string_view text);

/// A point of a refrigerant's table, or the table.
struct PtQuestion {
    const Refrigerant* refrigerant = nullptr;
    std::optional<PtAt> at = std::nullopt;  ///< without one: the table
    Barometer barometer = {};
    std::optional<PressureUnit> unit = std::nullopt;  ///< else psig on pages in pounds, bar_gauge in kilograms
};

/// Bubble and dew point with densities. Precondition: the question has a refrigerant. Errors (refused):
/// saturation-no-table, saturation-range.
Result<Page> pt_page(const PtQuestion& question, const PageOptions& options);

/// What the figures of a refrigerant rest on, how good they are, and from where to where; or, without a table, what
/// cannot be computed and which rule stands in.
Page pt_about_page(const Refrigerant& refrigerant, const PageOptions& options);

}  // namespace tarebook
