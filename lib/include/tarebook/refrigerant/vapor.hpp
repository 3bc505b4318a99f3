// Vapour away from saturation: how heavy it is at a pressure and a temperature of its own.
//
//     auto density = vapor_density(gas, AbsolutePressure::psia(84.7), Temperature::fahrenheit(60));
//     if (!density) say(no_vapor(gas, density.error()).what);    // "at 60.0 F R-448A begins to condense at ..."
//
// Z = 1 + B rho + C rho^2: C by corresponding states, B such that at the dew point of the same temperature the curve
// meets the saturation table. Against equations of state of R-134a, R-290, R-410A and R-717 within 0.6 % up to 10 bar.
#pragma once

#include <optional>
#include <tl/expected.hpp>

#include "tarebook/refrigerant/saturation.hpp"
#include "tarebook/units/error.hpp"
#include "tarebook/units/quantity.hpp"

namespace tarebook {

/// Why there is no density of a vapour.
struct NoVapor {
    /// The reason.
    enum class Why {
        outside_table,   ///< no table, or colder than it: `outside` says which
        liquid_present,  ///< above the dew pressure: `limit`
        not_checked      ///< hotter than the table and above `limit`, up to which the equation was checked
    };
    Why why = Why::outside_table;
    Temperature at = Temperature::celsius(0);
    AbsolutePressure limit = AbsolutePressure::kilopascals(0);
    OutsideTable outside = {};
};

/// The density of vapour of the nominal composition. At the dew pressure it is the table's own saturated vapour.
tl::expected<Density, NoVapor> vapor_density(const Refrigerant& refrigerant, AbsolutePressure pressure, Temperature at);

/// The reason in words. Names (refused): liquid-present, vapor-not-checked, and those of outside_table.
Error no_vapor(const Refrigerant& refrigerant, const NoVapor& why);

}  // namespace tarebook
