// Saturation: what a refrigerant's pressure and densities are where liquid and vapour stand together.
//
//     auto point = saturation_at(gas, Temperature::fahrenheit(70));      // bubble, dew, liquid, vapour
//     auto boils = bubble_temperature(gas, AbsolutePressure::psia(132.7));
//     if (!boils) say(outside_table(gas, boils.error()).what);           // "R-22 has no table above 75 C"
//
// Bubble point: the first vapour over the liquid of the nominal composition, which is what a cylinder with liquid in it
// shows. Dew point: the first liquid in the vapour. A pure refrigerant has one pressure for both.
//
// Between the rows of a table stands a cubic whose slopes are held where it cannot overshoot: pressures rise, liquid
// gets lighter and vapour heavier all the way, and bubble is never below dew, whatever the rows are. Outside the rows
// there is no value: nothing is ever extrapolated. No function here allocates; a look-up costs well under 100 ns.
#pragma once

#include <span>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "tarebook/units/error.hpp"
#include "tarebook/units/quantity.hpp"

namespace tarebook {

struct Refrigerant;

/// One line of a saturation table: nominal composition, bubble and dew point.
struct SaturationRow {
    Temperature temperature;
    AbsolutePressure bubble;
    AbsolutePressure dew;
    Density liquid;
    Density vapor;
};
/// The same five figures anywhere between the rows.
using SaturationPoint = SaturationRow;

/// A row as the curve through all rows passes it: values and slopes in the variables in which they are nearly straight.
/// Pressures go over 1/T; densities over `distance` = (1 - T/Tc)^(1/3).
struct SaturationNode {
    double kelvin;
    double inverse_kelvin;
    double distance;
    double ln_dew, ln_dew_slope;  ///< kPa
    double gap, gap_slope;        ///< ln(bubble / dew): never negative
    double liquid, liquid_slope;  ///< kg/m3
    double ln_vapor, ln_vapor_slope;
};

/// The equation of state that one component was computed with.
struct FluidSource {
    std::string_view component;
    std::string_view equation;
};
/// Where the mixture parameters of two components come from. Estimated: nobody has published any.
struct PairSource {
    std::string_view first;
    std::string_view second;
    std::string_view source;
    bool estimated;
    std::string_view effect;  ///< of another plausible estimate; empty where published
};

/// What a table rests on.
struct Provenance {
    std::string_view method;
    std::span<const FluidSource> fluids;
    std::span<const PairSource> pairs;
    std::string_view remark;  ///< a known weakness; may be empty

    [[nodiscard]] bool estimated() const;
};

struct Saturation {
    Temperature critical;                 ///< of the equation of state, not the accepted one
    std::span<const SaturationRow> rows;  ///< by rising temperature; empty where there is no table
    std::span<const SaturationNode> nodes;
    Provenance provenance = {};

    [[nodiscard]] bool has_table() const { return nodes.size() > 1; }
    /// First and last row; only where there is a table.
    [[nodiscard]] Temperature low() const { return rows.front().temperature; }
    [[nodiscard]] Temperature high() const { return rows.back().temperature; }
};

/// Why there is no value: no table, or what was asked for lies colder or hotter than the table goes. "Hotter" is an
/// answer of its own: a liquid-full temperature above the range, a pressure that the range does not reach.
struct OutsideTable {
    enum class Side { no_table, colder, hotter };
    Side side = Side::no_table;
    Temperature low = Temperature::celsius(0);  ///< of the table; no meaning without one
    Temperature high = Temperature::celsius(0);
};

template <class T>
using Saturated = tl::expected<T, OutsideTable>;

Saturated<SaturationPoint> saturation_at(const Refrigerant& refrigerant, Temperature at);
/// Where liquid of the nominal composition under this pressure begins to boil.
Saturated<Temperature> bubble_temperature(const Refrigerant& refrigerant, AbsolutePressure at);
/// Where vapour of the nominal composition under this pressure begins to condense.
Saturated<Temperature> dew_temperature(const Refrigerant& refrigerant, AbsolutePressure at);
/// Where saturated liquid has this density: with net mass by inside volume, the liquid-full temperature.
Saturated<Temperature> liquid_temperature(const Refrigerant& refrigerant, Density liquid);

/// The answer in words, with the range. Errors (refused): saturation-no-table, saturation-range.
Error outside_table(const Refrigerant& refrigerant, const OutsideTable& outside);

/// The curve through the rows; `rows` rise and fall as a table must, and `critical` is above the last one. Computed
/// while building for the catalogue, at start for a person's own refrigerant.
std::vector<SaturationNode> saturation_nodes(std::span<const SaturationRow> rows, Temperature critical);

}  // namespace tarebook
