// Saturation: what a refrigerant's pressure and densities are where liquid and vapour stand together.
//
//     auto point = saturation_at(gas, Temperature::fahrenheit(70));      // bubble, dew, liquid, vapour
//     auto boils = bubble_temperature(gas, AbsolutePressure::psia(132.7));
//     if (!boils) say(outside_table(gas, boils.error()).what);           // "R-22 has no table above 75 C"
//
// Bubble point: the first vapour over the liquid of the nominal composition, which is what a cylinder with liquid in it
// shows. Dew point: the first liquid in the vapour. A pure refrigerant has one pressure for both.
//
// Between the rows of a table stands a cubic whose slopes are limited so that it cannot overshoot: pressures rise,
// liquid gets lighter and vapour heavier all the way, and bubble is never below dew, for any rows. Outside the rows
// there is no value: nothing is extrapolated. No function here but saturation_nodes and outside_table allocates; a
// look-up takes less than 100 ns.
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
/// Pressures go over 1/T; densities over `distance`.
struct SaturationNode {
    double kelvin;
    double inverse_kelvin;            ///< 1/T
    double distance;                  ///< (1 - T/Tc)^(1/3)
    double ln_dew, ln_dew_slope;      ///< kPa
    double gap, gap_slope;            ///< ln(bubble / dew): never negative
    double liquid, liquid_slope;      ///< kg/m3
    double ln_vapor, ln_vapor_slope;  ///< kg/m3
};

/// The equation of state that one component was computed with.
struct FluidSource {
    std::string_view component;
    std::string_view equation;
};
/// Where the mixture parameters of two components come from. Estimated: none are published.
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

    /// Whether the parameters of any pair are estimated.
    [[nodiscard]] bool estimated() const;
};

/// The saturation table of a refrigerant; empty where there is none.
struct Saturation {
    Temperature critical;                   ///< of the equation of state, not the accepted one
    std::span<const SaturationRow> rows;    ///< by rising temperature; empty where there is no table
    std::span<const SaturationNode> nodes;  ///< of these rows, in their order
    Provenance provenance = {};

    /// Whether there is a table.
    [[nodiscard]] bool has_table() const { return nodes.size() > 1; }
    /// First and last temperature. Precondition: there is a table.
    [[nodiscard]] Temperature low() const { return rows.front().temperature; }
    [[nodiscard]] Temperature high() const { return rows.back().temperature; }
};

/// Why there is no value: no table, or the question is colder or hotter than the table goes. "Hotter" also answers a
/// density that the liquid reaches above the range, and a pressure above the highest one.
struct OutsideTable {
    /// Which end of the table was passed.
    enum class Side { no_table, colder, hotter };
    Side side = Side::no_table;                 ///< which end of the table
    Temperature low = Temperature::celsius(0);  ///< of the table; no meaning without one
    Temperature high = Temperature::celsius(0);
};

/// A value, or why the table has none.
template <class T>
using Saturated = tl::expected<T, OutsideTable>;

/// Pressures and densities at a temperature.
Saturated<SaturationPoint> saturation_at(const Refrigerant& refrigerant, Temperature at);
/// The temperature at which liquid of the nominal composition under this pressure begins to boil.
Saturated<Temperature> bubble_temperature(const Refrigerant& refrigerant, AbsolutePressure at);
/// The temperature at which vapour of the nominal composition under this pressure begins to condense.
Saturated<Temperature> dew_temperature(const Refrigerant& refrigerant, AbsolutePressure at);
/// The temperature at which saturated liquid has this density: with net mass by inside volume, the liquid-full
/// temperature.
Saturated<Temperature> liquid_temperature(const Refrigerant& refrigerant, Density liquid);

/// The reason in words, with the table's range. Names (refused): saturation-no-table, saturation-range.
Error outside_table(const Refrigerant& refrigerant, const OutsideTable& outside);

/// The curve through the rows. Preconditions: temperatures and pressures rise, liquid gets lighter and vapour heavier,
/// and `critical` is above the last row. Computed while building for the catalogue, at start for a person's own
/// refrigerant.
std::vector<SaturationNode> saturation_nodes(std::span<const SaturationRow> rows, Temperature critical);

}  // namespace tarebook
