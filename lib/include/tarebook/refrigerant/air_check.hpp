// Is there air in a cylinder? The pressure in a cylinder that holds liquid, against the bubble pressure at its
// temperature.
//
//     AirCheckQuestion question{.could_be = {Catalogue().find("R-404A")}};
//     question.pressure = AbsolutePressure::psia(190);
//     question.temperature = Temperature::fahrenheit(75);
//     auto check = air_check(question).value();      // verdict, excess, band
//
// The bubble curve, not the dew curve: with liquid in the cylinder the liquid has the nominal composition. Against the
// dew curve clean R-407C or R-448A would seem to hold 25 psi of air.
//
// It informs: a pressure cannot tell air from another gas, and hides what is less than the instruments can show.
#pragma once

#include <optional>
#include <vector>

#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/units/accuracy.hpp"

namespace tarebook {

/// What a pressure says about a cylinder.
enum class AirVerdict {
    clear,         ///< at or under the curve, and no farther under it than the gauge may be off
    inconclusive,  ///< over the curve by no more than the instruments may be off; or one of several gases
    excess,        ///< air, another gas, or a blend shifted by vapour recovery
    below,         ///< another gas than the label says, no liquid, or a thermometer warmer than the liquid
    no_liquid,     ///< less in it than fills it with vapour: the check says nothing
    liquid_full,   ///< more in it than has room: the pressure is that of squeezed liquid
};
/// For programs: "liquid-full".
std::string_view text_of(AirVerdict verdict);

/// What was read on a cylinder at rest, and what is known of it.
struct AirCheckQuestion {
    /// One gas; or several, if it is mixed or partly known: then the highest bubble pressure has to be passed before
    /// there is an excess, and none of them can come out clear.
    std::vector<const Refrigerant*> could_be;
    AbsolutePressure pressure = AbsolutePressure::kilopascals(0);
    Temperature temperature = Temperature::celsius(0);
    /// How far each may be off, to either side: 1 % of a gauge that goes to 500 psi, and a thermometer that was held to
    /// the wall. Common practice, no source.
    PressureDifference gauge_accuracy = PressureDifference::psi(5);
    TemperatureDifference thermometer_accuracy = TemperatureDifference::fahrenheit(2);
    std::optional<Volume> inside = std::nullopt;  ///< with `net`: whether there is liquid, and how much air it would be
    std::optional<Mass> net = std::nullopt;
};

/// The verdict with the figures that it rests on.
struct AirCheck {
    AirVerdict verdict = AirVerdict::inconclusive;
    const Refrigerant* compared_with = nullptr;  ///< the one with the highest bubble pressure
    SaturationPoint point;                       ///< of that one
    PressureDifference excess;                   ///< over its bubble pressure; negative below it
    PressureDifference dew_excess;               ///< what the dew column would have shown: to say why not to use it
    PressureDifference band;                     ///< root of the sum of the squares of the three parts
    PressureDifference thermometer_part;         ///< what its error is on the curve
    PressureDifference table_part;               ///< the stated uncertainty of the table, of the absolute pressure
    /// If the whole excess were air: its share of the vapour in mole percent, and its mass where `inside` and `net` are
    /// known. Nothing without an excess.
    std::optional<double> air_mole_percent = std::nullopt;
    std::optional<Mass> air = std::nullopt;
    std::optional<Mass> vapor_heel = std::nullopt;  ///< what fills the cylinder as vapour alone
};

/// Compares with the candidate that has the highest bubble pressure. Errors (refused): saturation-no-table,
/// saturation-range; air-check-contents where no gas is named.
Result<AirCheck> air_check(const AirCheckQuestion& question);

}  // namespace tarebook
