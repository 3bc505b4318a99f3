// The barometer of a place: a gauge shows the difference from it, a saturation table is absolute.
//
//     auto here = barometer_at(parse_altitude("5000ft").value());      // 84.3 kPa
#pragma once

#include <compare>
#include <string_view>

#include "tarebook/units/quantity.hpp"

namespace tarebook {

/// Height above the sea.
class Altitude {
 public:
    /// A height in metres, or in feet of 0.3048 m.
    static constexpr Altitude metres(double m) { return Altitude(m); }
    static constexpr Altitude feet(double ft) { return Altitude(ft * 0.3048); }
    /// Metres, feet.
    [[nodiscard]] constexpr double in_metres() const { return m_; }
    [[nodiscard]] constexpr double in_feet() const { return m_ / 0.3048; }
    friend constexpr auto operator<=>(Altitude, Altitude) = default;

 private:
    constexpr explicit Altitude(double m) : m_(m) {}
    double m_;
};

/// Mean barometer at that height: ICAO standard atmosphere, ISO 2533:1975, its troposphere (up to 11 km). Weather moves
/// it by 3 %.
AbsolutePressure barometer_at(Altitude altitude);

/// Takes `5000ft`, `1500m`. Errors (usage): altitude-number, altitude-unit, altitude-range (-1400 to 20000 ft).
Result<Altitude> parse_altitude(std::string_view text);
/// Takes `84kPa`, `840hPa`, `840mbar`, `24.9inHg`, `12.2psia`. Errors (usage): barometer-number, barometer-unit,
/// barometer-range (45 to 110 kPa: no inhabited place is outside, a gauge reading mostly is).
Result<AbsolutePressure> parse_barometer(std::string_view text);

}  // namespace tarebook
