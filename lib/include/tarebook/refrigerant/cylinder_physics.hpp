// What stands in a closed cylinder when it warms: how much of it is liquid, and what it presses with.
//
//     auto inside = fill_state_at(gas, net, volume, Temperature::celsius(55));
//     if (inside && inside->phases == Phases::liquid_full) ...            // no room for vapour: it bursts
//
// Figures for a cylinder of one refrigerant at its nominal composition, at rest, all of it at one temperature.
#pragma once

#include <optional>

#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/refrigerant/saturation.hpp"
#include "tarebook/units/mass.hpp"

namespace tarebook {

/// What is in the inside volume; `liquid_full` leaves no room for vapour.
enum class Phases { liquid_and_vapor, all_vapor, liquid_full };

/// A closed cylinder at one temperature.
struct FillState {
    Temperature at;
    Phases phases;
    double liquid_share;  ///< of the inside volume, 0 to 1
    /// The highest pressure that it can have: the bubble pressure with liquid, the dew pressure of vapour alone.
    /// Nothing for a liquid-full one: no table says at which pressure it presses on the shell.
    std::optional<AbsolutePressure> pressure_at_most;
};

/// The state of `net` in `inside`, for a temperature of the table; a net below zero counts as nothing. OutsideTable for
/// other temperatures.
Saturated<FillState> fill_state_at(const Refrigerant& refrigerant, Mass net, Volume inside, Temperature at);

/// The highest pressure that a gauge may show, at the standard atmosphere: the uncertainty of the refrigerant's table,
/// a share of the absolute pressure, is added.
GaugePressure gauge_at_most(const Refrigerant& refrigerant, AbsolutePressure pressure);

/// The saturated vapour that stays when the last liquid is gone: what "empty" still holds. OutsideTable for a
/// temperature that the table does not have.
Saturated<Mass> vapor_heel(const Refrigerant& refrigerant, Volume inside, Temperature at);

/// The temperature at which `net` leaves no room for vapour. OutsideTable::hotter: it leaves room at each temperature
/// of the table; colder: at none of them.
Saturated<Temperature> liquid_full_temperature(const Refrigerant& refrigerant, Mass net, Volume inside);

}  // namespace tarebook
