// Temperature, pressure, volume and density as types of their own. A reading and a difference are different types, and
// so are absolute and gauge pressure: what must not be added does not compile (tests/unit/units/forbidden_test.cpp).
//
//     auto vacuum = parse_pressure("10inHg").value();          // a gauge pressure below ambient
//     auto p = vacuum.absolute(standard_atmosphere());         // kPa absolute, at that barometer
#pragma once

#include <compare>
#include <string>
#include <string_view>
#include <variant>

#include "tarebook/units/error.hpp"
#include "tarebook/units/mass.hpp"

namespace tarebook {

/// A rise or fall of temperature, in kelvin.
class TemperatureDifference {
 public:
    /// A difference in kelvin, or in degrees Fahrenheit (1.8 to a kelvin).
    static constexpr TemperatureDifference kelvin(double k) { return TemperatureDifference(k); }
    static constexpr TemperatureDifference fahrenheit(double f) { return TemperatureDifference(f / 1.8); }
    /// Kelvin, degrees Fahrenheit.
    [[nodiscard]] constexpr double in_kelvin() const { return kelvin_; }
    [[nodiscard]] constexpr double in_fahrenheit() const { return kelvin_ * 1.8; }
    friend constexpr auto operator<=>(TemperatureDifference, TemperatureDifference) = default;
    /// The two together.
    friend constexpr TemperatureDifference operator+(TemperatureDifference a, TemperatureDifference b) {
        return TemperatureDifference(a.kelvin_ + b.kelvin_);
    }
    /// The first less the second.
    friend constexpr TemperatureDifference operator-(TemperatureDifference a, TemperatureDifference b) {
        return TemperatureDifference(a.kelvin_ - b.kelvin_);
    }

 private:
    constexpr explicit TemperatureDifference(double k) : kelvin_(k) {}
    double kelvin_;
};

/// What a thermometer shows.
class Temperature {
 public:
    /// A reading in degrees Celsius or Fahrenheit.
    static constexpr Temperature celsius(double c) { return Temperature(c); }
    static constexpr Temperature fahrenheit(double f) { return Temperature((f - 32.0) / 1.8); }
    /// Degrees Celsius, degrees Fahrenheit, kelvin.
    [[nodiscard]] constexpr double in_celsius() const { return celsius_; }
    [[nodiscard]] constexpr double in_fahrenheit() const { return celsius_ * 1.8 + 32.0; }
    [[nodiscard]] constexpr double in_kelvin() const { return celsius_ + 273.15; }
    friend constexpr auto operator<=>(Temperature, Temperature) = default;
    /// How much warmer the first is.
    friend constexpr TemperatureDifference operator-(Temperature a, Temperature b) {
        return TemperatureDifference::kelvin(a.celsius_ - b.celsius_);
    }
    /// The reading after a rise.
    friend constexpr Temperature operator+(Temperature a, TemperatureDifference d) {
        return Temperature(a.celsius_ + d.in_kelvin());
    }
    /// The reading before a rise.
    friend constexpr Temperature operator-(Temperature a, TemperatureDifference d) {
        return Temperature(a.celsius_ - d.in_kelvin());
    }

 private:
    constexpr explicit Temperature(double c) : celsius_(c) {}
    double celsius_;
};

/// A pressure above a perfect vacuum.
class AbsolutePressure {
 public:
    /// kPa, micrometres of mercury, pounds per square inch absolute.
    static constexpr AbsolutePressure kilopascals(double kpa) { return AbsolutePressure(kpa); }
    static constexpr AbsolutePressure microns(double um) { return AbsolutePressure(um * kpa_per_micron); }
    static constexpr AbsolutePressure psia(double psi) { return AbsolutePressure(psi * kpa_per_psi); }
    /// kPa, micrometres of mercury, pounds per square inch absolute.
    [[nodiscard]] constexpr double in_kilopascals() const { return kpa_; }
    [[nodiscard]] constexpr double in_microns() const { return kpa_ / kpa_per_micron; }
    [[nodiscard]] constexpr double in_psia() const { return kpa_ / kpa_per_psi; }
    friend constexpr auto operator<=>(AbsolutePressure, AbsolutePressure) = default;

    /// kPa in a unit of pressure.
    static constexpr double kpa_per_psi = 6.894757293168361;
    static constexpr double kpa_per_inhg = 3.386389;          // NIST SP 811 App. B: inch of mercury, conventional
    static constexpr double kpa_per_micron = 0.000133322387;  // 1 um of mercury, conventional

 private:
    constexpr explicit AbsolutePressure(double kpa) : kpa_(kpa) {}
    double kpa_;
};

/// A pressure relative to the barometer of the place; negative below it.
class GaugePressure {
 public:
    /// kPa or pounds per square inch above the barometer; inches of mercury below it (positive is a vacuum).
    static constexpr GaugePressure kilopascals(double kpa) { return GaugePressure(kpa); }
    static constexpr GaugePressure psig(double psi) { return GaugePressure(psi * AbsolutePressure::kpa_per_psi); }
    static constexpr GaugePressure inhg_vacuum(double inhg) {
        return GaugePressure(-inhg * AbsolutePressure::kpa_per_inhg);
    }
    /// kPa and pounds per square inch above the barometer; inches of mercury below it (positive is a vacuum).
    [[nodiscard]] constexpr double in_kilopascals() const { return kpa_; }
    [[nodiscard]] constexpr double in_psig() const { return kpa_ / AbsolutePressure::kpa_per_psi; }
    [[nodiscard]] constexpr double in_inhg_vacuum() const { return -kpa_ / AbsolutePressure::kpa_per_inhg; }
    friend constexpr auto operator<=>(GaugePressure, GaugePressure) = default;

 private:
    constexpr explicit GaugePressure(double kpa) : kpa_(kpa) {}
    double kpa_;
};

/// 101.325 kPa (ISO 2533:1975).
constexpr AbsolutePressure standard_atmosphere() {
    return AbsolutePressure::kilopascals(101.325);
}
/// From gauge to absolute; `ambient` is the barometer where the gauge hung.
constexpr AbsolutePressure absolute(GaugePressure gauge, AbsolutePressure ambient) {
    return AbsolutePressure::kilopascals(gauge.in_kilopascals() + ambient.in_kilopascals());
}
/// What a gauge shows of that pressure where the barometer is `ambient`.
constexpr GaugePressure gauge(AbsolutePressure pressure, AbsolutePressure ambient) {
    return GaugePressure::kilopascals(pressure.in_kilopascals() - ambient.in_kilopascals());
}

/// A pressure as typed: gauge or absolute, and the words to print back.
struct PressureReading {
    std::variant<GaugePressure, AbsolutePressure> value;
    std::string typed;
    /// The absolute pressure; `ambient` is the barometer where a gauge was read, and is not used where the reading is
    /// absolute.
    [[nodiscard]] AbsolutePressure absolute(AbsolutePressure ambient) const;
};

/// Mass by volume.
class Density {
 public:
    /// kg/m3.
    static constexpr Density kg_per_m3(double v) { return Density(v); }
    /// kg/m3, lb/ft3.
    [[nodiscard]] constexpr double in_kg_per_m3() const { return v_; }
    [[nodiscard]] constexpr double in_lb_per_ft3() const { return v_ / 16.018463373960142; }
    friend constexpr auto operator<=>(Density, Density) = default;

 private:
    constexpr explicit Density(double v) : v_(v) {}
    double v_;
};

/// Water at 60 F (15.6 C), 999.0 kg/m3: a stamped water capacity is the mass of such water. Source of the temperature:
/// 49 CFR 173.304a, note 1 of its table of filling densities, from memory.
constexpr Density water_at_60f() {
    return Density::kg_per_m3(999.0);
}

/// The inside of a vessel or pipe.
class Volume {
 public:
    /// Cubic metres, litres, cubic feet of (0.3048 m)^3.
    static constexpr Volume cubic_metres(double v) { return Volume(v); }
    static constexpr Volume litres(double v) { return Volume(v / 1000.0); }
    static constexpr Volume cubic_feet(double v) { return Volume(v * m3_per_ft3); }
    /// The inside of a cylinder that holds `water` when full of water at 60 F.
    static Volume of_water(Mass water) { return Volume(water.in_kilograms() / water_at_60f().in_kg_per_m3()); }
    /// Litres, cubic metres, cubic feet.
    [[nodiscard]] constexpr double in_litres() const { return m3_ * 1000.0; }
    [[nodiscard]] constexpr double in_cubic_metres() const { return m3_; }
    [[nodiscard]] constexpr double in_cubic_feet() const { return m3_ / m3_per_ft3; }
    /// What it holds when it is full of that. Throws Refused (too-large) as Mass does.
    [[nodiscard]] Mass filled_with(Density d) const { return Mass::from_kilograms(m3_ * d.in_kg_per_m3()); }
    friend constexpr auto operator<=>(Volume, Volume) = default;

 private:
    constexpr explicit Volume(double m3) : m3_(m3) {}
    static constexpr double m3_per_ft3 = 0.028316846592;  // 0.3048 m, exactly, cubed
    double m3_;
};

/// Takes `70F`, `21C`, `-40 F`, above absolute zero and up to 1000 C. Errors (usage): temperature-number,
/// temperature-no-unit, temperature-unit, temperature-range.
Result<Temperature> parse_temperature(std::string_view text);
/// Takes `36psig`, `51psia`, `10inHg` (a vacuum), `500micron`, `350kPa` and `3.5bar` (absolute), `250kPag`, `2.5barg`.
/// Errors (usage): pressure-number, pressure-no-unit, pressure-unit, pressure-gauge-or-absolute (`psi` alone),
/// pressure-range (deeper than a perfect vacuum, or above 40 MPa).
Result<PressureReading> parse_pressure(std::string_view text);
/// Takes a stamped water capacity: pounds or kilograms of water, or litres (`21.6L`), up to 1000 m3. A bare number
/// takes the unit of `reads`. Errors (usage): water-capacity, and those of parse_weight.
Result<Volume> parse_water_capacity(std::string_view text, ScaleReads reads);

}  // namespace tarebook
