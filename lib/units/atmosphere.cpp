#include "tarebook/units/atmosphere.hpp"

#include <fmt/format.h>

#include <cmath>

#include "decimal.hpp"

namespace tarebook {
AbsolutePressure barometer_at(Altitude altitude) {
    // ISO 2533: at sea level 288.15 K and 101.325 kPa; 6.5 K less for each kilometre; g = 9.80665 m/s2;
    // R = 287.05287 J/(kg K).
    constexpr double lapse_k_per_m = 0.0065;
    constexpr double sea_level_k = 288.15;
    constexpr double exponent = 9.80665 / (287.05287 * lapse_k_per_m);
    return AbsolutePressure::kilopascals(standard_atmosphere().in_kilopascals() *
                                         std::pow(1 - lapse_k_per_m * altitude.in_metres() / sea_level_k, exponent));
}

Result<Altitude> parse_altitude(std::string_view text) {
    constexpr const char* forms = "5000ft or 1500m";
    const auto t = decimal::figure(text);
    if (!t.ok) return usage("altitude-number", "cannot read an altitude", t.text, forms);
    if (t.unit != "ft" && t.unit != "m")
        return usage("altitude-unit", "an altitude needs feet or metres", t.text, forms);
    const auto altitude = t.unit == "ft" ? Altitude::feet(t.value) : Altitude::metres(t.value);
    if (altitude < Altitude::feet(-1400) || altitude > Altitude::feet(20'000))
        return usage("altitude-range", "no one works at that height", t.text, "-1400ft to 20000ft");
    return altitude;
}

Result<AbsolutePressure> parse_barometer(std::string_view text) {
    constexpr const char* forms = "84kPa, 840hPa, 840mbar, 24.9inHg or 12.2psia";
    const auto t = decimal::figure(text);
    if (!t.ok) return usage("barometer-number", "cannot read a barometer", t.text, forms);
    double kpa = t.value;
    if (t.unit == "hpa" || t.unit == "mbar")
        kpa /= 10;
    else if (t.unit == "inhg")
        kpa *= AbsolutePressure::kpa_per_inhg;
    else if (t.unit == "psia")
        kpa *= AbsolutePressure::kpa_per_psi;
    else if (t.unit != "kpa")
        return usage("barometer-unit", "a barometer needs its unit", t.text, forms);
    if (!(kpa >= 45 && kpa <= 110))
        return usage("barometer-range", "no place where people work has such a barometer", t.text, "45 to 110 kPa",
                     "the pressure of the air itself, not brought to sea level as a weather report has it");
    return AbsolutePressure::kilopascals(kpa);
}

}  // namespace tarebook
