// Texts of temperatures and pressures: F and psig on pages in pounds, C and bar (gauge) on pages in kilograms.
#pragma once

#include <string>

#include "tarebook/refrigerant/cylinder_physics.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook::report {

/// A temperature limit, rounded down to the whole degree, so that it is never shown too high.
std::string degrees_down(Temperature t, DisplayUnits units);
std::string degrees_up(Temperature t, DisplayUnits units);
/// 131 F or 55 C: a temperature that a rule names, to the nearest degree.
std::string degrees(Temperature t, DisplayUnits units);
/// A pressure that a vessel must bear, rounded up to the next whole psi or tenth of a bar.
std::string gauge_up(GaugePressure pressure, DisplayUnits units);
std::string gauge_down(GaugePressure pressure, DisplayUnits units);

/// "at 139 F", "above 167 F" (the end of the table), "below -76 F", "not known"
std::string liquid_full_words(const Saturated<Temperature>& full, DisplayUnits units);

}  // namespace tarebook::report
