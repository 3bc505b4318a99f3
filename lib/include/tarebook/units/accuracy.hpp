// How far an instrument may be off: a gauge in pressure, a thermometer in temperature, a scale in mass.
#pragma once

#include <compare>
#include <string_view>

#include "tarebook/units/mass.hpp"
#include "tarebook/units/quantity.hpp"

namespace tarebook {

/// A difference of two pressures, gauge or absolute alike.
class PressureDifference {
 public:
    /// A difference in kPa or in psi.
    static constexpr PressureDifference kilopascals(double kpa) { return PressureDifference(kpa); }
    static constexpr PressureDifference psi(double psi) {
        return PressureDifference(psi * AbsolutePressure::kpa_per_psi);
    }
    /// kPa, psi.
    [[nodiscard]] constexpr double in_kilopascals() const { return kpa_; }
    [[nodiscard]] constexpr double in_psi() const { return kpa_ / AbsolutePressure::kpa_per_psi; }
    friend constexpr auto operator<=>(PressureDifference, PressureDifference) = default;
    /// The same difference with the other sign.
    friend constexpr PressureDifference operator-(PressureDifference a) { return PressureDifference(-a.kpa_); }

 private:
    constexpr explicit PressureDifference(double kpa) : kpa_(kpa) {}
    double kpa_;
};

/// a - b: negative where `a` is the lower one.
constexpr PressureDifference operator-(AbsolutePressure a, AbsolutePressure b) {
    return PressureDifference::kilopascals(a.in_kilopascals() - b.in_kilopascals());
}

/// Takes `2psi`, `15kPa`, `0.1bar`, up to 350 kPa. Errors (usage): accuracy-number, accuracy-unit, accuracy-range.
Result<PressureDifference> parse_pressure_accuracy(std::string_view text);
/// Takes `2F`, `1C`, `1K`, up to 10 K: a difference, so that 2F is 1.1 K. Errors (usage): accuracy-number,
/// accuracy-unit, accuracy-range.
Result<TemperatureDifference> parse_temperature_accuracy(std::string_view text);

/// How far a scale may be off: a mass and a share of the load, of which one is zero as parse_scale_accuracy makes it.
struct ScaleAccuracy {
    Mass mass;
    std::int64_t per_million = 0;  ///< of the load
    /// How far it may be off at this load, to either side.
    [[nodiscard]] Mass at(Mass load) const;
    friend bool operator==(const ScaleAccuracy&, const ScaleAccuracy&) = default;
};
/// Takes `0.1lb`, `50g` (up to 100 lb), `0.5%` (up to 10 %). Error (usage): scale-accuracy.
Result<ScaleAccuracy> parse_scale_accuracy(std::string_view text);

/// What a scale of class III may be off in service, to either side, where nothing else is on record: one division up to
/// 500 of them, two up to 2 000, three up to 4 000, five beyond. Precondition: `division` is positive. Sources: NIST
/// Handbook 44, section 2.20, Table 6, maintenance tolerances, from memory; OIML R 76-1 has one, two and three in
/// service (twice the 0.5, 1 and 1.5 e of its Table 6), from memory.
Mass class_iii_tolerance(Mass load, Mass division);

}  // namespace tarebook
