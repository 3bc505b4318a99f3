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

enum class Phases { liquid_and_vapor, all_vapor, liquid_full };

struct FillState {
    Temperature at;
    Phases phases;
    double liquid_share;  ///< of the inside volume, 0 to 1; 1 where it is liquid-full
    /// The most that it can show: the bubble pressure with liquid, the dew pressure of vapour alone. None where it is
    /// liquid-full: there only the shell holds, and no table says at which pressure.
    std::optional<AbsolutePressure> pressure_at_most;
};

/// `net` in `inside` at a temperature of the table.
Saturated<FillState> fill_state_at(const Refrigerant& refrigerant, Mass net, Volume inside, Temperature at);

/// A pressure of this refrigerant as a gauge may show it at the most: the uncertainty of its figures is one of the
/// absolute pressure, and counts toward the higher.
GaugePressure gauge_at_most(const Refrigerant& refrigerant, AbsolutePressure pressure);

/// The vapour that stays when the last liquid is gone: what "empty" still holds.
Saturated<Mass> vapor_heel(const Refrigerant& refrigerant, Volume inside, Temperature at);

/// The temperature at which `net` leaves no room for vapour. OutsideTable::hotter and colder are answers, too.
Saturated<Temperature> liquid_full_temperature(const Refrigerant& refrigerant, Mass net, Volume inside);

}  // namespace tarebook
