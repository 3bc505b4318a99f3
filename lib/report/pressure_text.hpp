// Texts of pressures and temperatures in the person's units, with vacuum as a gauge shows it.
#pragma once

#include <string>

#include "tarebook/report/pt_page.hpp"

namespace tarebook::report {

/// The unit that a person reads who named none.
PressureUnit usual_pressure_unit(DisplayUnits units);
PressureUnit pressure_unit(const PtQuestion& question, const PageOptions& options);
/// Whether figures in it depend on the barometer.
bool is_gauge(PressureUnit unit);
/// "153.9 psig", "12.3 inHg" below the barometer, "10.61 barg", "1062.4 kPa absolute", "10.62 bar absolute".
std::string pressure_text(AbsolutePressure pressure, const Barometer& barometer, PressureUnit unit);
/// The same for a column whose heading has the unit: "153.9", "12.3 inHg", "1062.4", "10.62".
std::string pressure_cell(AbsolutePressure pressure, const Barometer& barometer, PressureUnit unit);
std::string_view heading(PressureUnit unit);
/// "70.0 F" on pages in pounds, "21.1 C" on pages in kilograms.
std::string temperature_text(Temperature temperature, DisplayUnits units);
std::string density_text(Density density, DisplayUnits units);
/// "barometer 14.70 psia (101.3 kPa), standard atmosphere"; "barometer 1.013 bar, ..." on pages in kilograms.
std::string barometer_text(const Barometer& barometer, DisplayUnits units);

}  // namespace tarebook::report
