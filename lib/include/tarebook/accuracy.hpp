// How far an instrument may be off: a gauge in pressure, a thermometer in temperature.
#pragma once

#include <compare>
#include <string_view>

#include "tarebook/quantity.hpp"

namespace tarebook {

/// A difference of two pressures, gauge or absolute alike.
class PressureDifference {
 public:
    static constexpr PressureDifference kilopascals(double kpa) { return PressureDifference(kpa); }
    static constexpr PressureDifference psi(double psi) {
        return PressureDifference(psi * AbsolutePressure::kpa_per_psi);
    }
    [[nodiscard]] constexpr double in_kilopascals() const { return kpa_; }
    [[nodiscard]] constexpr double in_psi() const { return kpa_ / AbsolutePressure::kpa_per_psi; }
    friend constexpr auto operator<=>(PressureDifference, PressureDifference) = default;
    friend constexpr PressureDifference operator-(PressureDifference a) { return PressureDifference(-a.kpa_); }

 private:
    constexpr explicit PressureDifference(double kpa) : kpa_(kpa) {}
    double kpa_;
};

constexpr PressureDifference operator-(AbsolutePressure a, AbsolutePressure b) {
    return PressureDifference::kilopascals(a.in_kilopascals() - b.in_kilopascals());
}

/// Takes `2psi`, `15kPa`, `0.1bar`. Errors (usage): accuracy-number, accuracy-unit, accuracy-range.
Result<PressureDifference> parse_pressure_accuracy(std::string_view text);
/// Takes `2F`, `1C`, `1K`: a difference, so that 2F is 1.1 K. The same errors.
Result<TemperatureDifference> parse_temperature_accuracy(std::string_view text);

}  // namespace tarebook
