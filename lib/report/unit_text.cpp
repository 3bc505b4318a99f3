#include "unit_text.hpp"

#include <fmt/format.h>

#include <cmath>

namespace tarebook::report {
namespace {

double in(Temperature t, DisplayUnits units) {
    return units == DisplayUnits::lb ? t.in_fahrenheit() : t.in_celsius();
}
std::string whole(double degrees, DisplayUnits units) {
    return fmt::format("{:.0f} {}", degrees == 0 ? 0.0 : degrees, units == DisplayUnits::lb ? "F" : "C");
}
// What the sixth digit of a table leaves uncertain must not push a figure to the next step.
constexpr double grain = 1e-6;

template <class Round>
std::string gauge_text(GaugePressure p, DisplayUnits units, Round round) {
    if (units == DisplayUnits::lb) return fmt::format("{:.0f} psig", round(p.in_psig()));
    return fmt::format("{:.1f} barg", round(p.in_kilopascals() / 10) / 10);
}

}  // namespace

std::string degrees_down(Temperature t, DisplayUnits units) {
    return whole(std::floor(in(t, units) + grain), units);
}
std::string degrees_up(Temperature t, DisplayUnits units) {
    return whole(std::ceil(in(t, units) - grain), units);
}
std::string degrees(Temperature t, DisplayUnits units) {
    return whole(std::round(in(t, units)), units);
}
std::string gauge_up(GaugePressure pressure, DisplayUnits units) {
    return gauge_text(pressure, units, [](double v) { return std::ceil(v - grain); });
}
std::string gauge_down(GaugePressure pressure, DisplayUnits units) {
    return gauge_text(pressure, units, [](double v) { return std::floor(v + grain); });
}

std::string liquid_full_words(const Saturated<Temperature>& full, DisplayUnits units) {
    if (full) return "at " + degrees_down(*full, units);
    switch (full.error().side) {
        case OutsideTable::Side::hotter:
            return "above " + degrees_down(full.error().high, units);
        case OutsideTable::Side::colder:
            return "below " + degrees_up(full.error().low, units);
        case OutsideTable::Side::no_table:
            break;
    }
    return "not known";
}

}  // namespace tarebook::report
