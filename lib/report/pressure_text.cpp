#include "pressure_text.hpp"

#include <fmt/format.h>

namespace tarebook::report {

PressureUnit usual_pressure_unit(DisplayUnits units) {
    return units == DisplayUnits::kg ? PressureUnit::bar_gauge : PressureUnit::psig;
}
PressureUnit pressure_unit(const PtQuestion& question, const PageOptions& options) {
    return question.unit.value_or(usual_pressure_unit(options.units));
}
bool is_gauge(PressureUnit unit) {
    return unit == PressureUnit::psig || unit == PressureUnit::bar_gauge;
}

std::string pressure_cell(AbsolutePressure pressure, const Barometer& barometer, PressureUnit unit) {
    switch (unit) {
        case PressureUnit::kilopascals:
            return fmt::format("{:.1f}", pressure.in_kilopascals());
        case PressureUnit::bar:
            return fmt::format("{:.3f}", pressure.in_kilopascals() / 100);
        case PressureUnit::bar_gauge:
            return fmt::format("{:.2f}", gauge(pressure, barometer.pressure).in_kilopascals() / 100 + 0.0);
        case PressureUnit::psig:
            break;
    }
    const auto shown = gauge(pressure, barometer.pressure);
    // What rounds to nothing is nothing, on either side of it.
    if (shown.in_inhg_vacuum() < 0.05) return fmt::format("{:.1f}", shown.in_psig() + 0.0);
    return fmt::format("{:.1f} inHg", shown.in_inhg_vacuum());
}

std::string pressure_text(AbsolutePressure pressure, const Barometer& barometer, PressureUnit unit) {
    auto text = pressure_cell(pressure, barometer, unit);
    if (unit == PressureUnit::kilopascals) return text + " kPa absolute";
    if (unit == PressureUnit::bar) return text + " bar absolute";
    if (unit == PressureUnit::bar_gauge) return text + " barg";
    return text.ends_with("inHg") ? text + " vacuum" : text + " psig";
}

std::string_view heading(PressureUnit unit) {
    switch (unit) {
        case PressureUnit::kilopascals:
            return "kPa";
        case PressureUnit::bar:
            return "bar";
        case PressureUnit::bar_gauge:
            return "barg";
        case PressureUnit::psig:
            break;
    }
    return "psig";
}

std::string temperature_text(Temperature t, DisplayUnits units) {
    return units == DisplayUnits::kg ? fmt::format("{:.1f} C", t.in_celsius())
                                     : fmt::format("{:.1f} F", t.in_fahrenheit());
}

std::string density_text(Density d, DisplayUnits units) {
    return units == DisplayUnits::kg ? fmt::format("{:.4g} kg/m3", d.in_kg_per_m3())
                                     : fmt::format("{:.4g} lb/ft3", d.in_lb_per_ft3());
}

std::string barometer_text(const Barometer& b, DisplayUnits units) {
    if (units == DisplayUnits::kg)
        return fmt::format("barometer {:.3f} bar, {}", b.pressure.in_kilopascals() / 100, b.basis);
    return fmt::format("barometer {:.2f} psia ({:.1f} kPa), {}", b.pressure.in_psia(), b.pressure.in_kilopascals(),
                       b.basis);
}

}  // namespace tarebook::report
