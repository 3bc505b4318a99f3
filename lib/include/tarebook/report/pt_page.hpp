// Pressure and temperature at saturation, as a page: one point, or a table to print. Needs no book.
//
//     PtQuestion question{find_refrigerant("R-448A")};
//     question.at = parse_pt_at("118psig").value();
//     std::cout << pt_page(question, options).value().body;
#pragma once

#include <optional>
#include <string>
#include <variant>

#include "tarebook/report/report.hpp"
#include "tarebook/units/atmosphere.hpp"

namespace tarebook {

/// How a page writes pressures: as a gauge shows them at the barometer of the question, or absolute.
enum class PressureUnit { psig, kilopascals, bar };

/// The barometer that gauge pressures go by, and how it is known.
struct Barometer {
    AbsolutePressure pressure = standard_atmosphere();
    std::string basis = "standard atmosphere";

    static Barometer at(Altitude altitude);
    static Barometer read(AbsolutePressure pressure) { return {pressure, "as read"}; }
};

/// From --altitude or --barometer, as typed; the standard atmosphere where neither was. Error (usage):
/// altitude-and-barometer, and those of the two parsers.
Result<Barometer> parse_place(const std::optional<std::string>& altitude, const std::optional<std::string>& barometer);

using PtAt = std::variant<Temperature, PressureReading>;

/// `70F` and `21C` are temperatures, all else is a pressure. Error (usage): pt-no-unit, and those of the two parsers.
Result<PtAt> parse_pt_at(std::string_view text);

struct PtQuestion {
    const Refrigerant* refrigerant = nullptr;
    std::optional<PtAt> at = std::nullopt;  ///< without one: the table
    Barometer barometer = {};
    std::optional<PressureUnit> unit = std::nullopt;  ///< else psig on pages in pounds, kPa on pages in kilograms
};

/// Errors (refused): saturation-no-table, saturation-range.
Result<Page> pt_page(const PtQuestion& question, const PageOptions& options);

/// What the figures of a refrigerant rest on, how good they are, and from where to where; or, without a table, what
/// cannot be computed and which rule stands in.
Page pt_about_page(const Refrigerant& refrigerant, const PageOptions& options);

}  // namespace tarebook
