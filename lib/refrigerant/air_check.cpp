#include "tarebook/refrigerant/air_check.hpp"

#include <algorithm>
#include <cmath>

namespace tarebook {
namespace {

// Half of the change of the bubble pressure over the thermometer's whole band; over one side of it at an end of the
// table.
PressureDifference thermometer_part(const Refrigerant& r, Temperature at, AbsolutePressure here,
                                    TemperatureDifference off) {
    const auto side = [&](TemperatureDifference d) -> std::optional<double> {
        const auto point = saturation_at(r, at + d);
        if (!point) return std::nullopt;
        return std::abs((point->bubble - here).in_kilopascals());
    };
    const auto above = side(off);
    const auto below = side(TemperatureDifference::kelvin(0) - off);
    if (above && below) return PressureDifference::kilopascals((*above + *below) / 2);
    return PressureDifference::kilopascals(above.value_or(below.value_or(0)));
}

// The mass of air, as an ideal gas in the volume without liquid.
Mass air_in(const AirCheckQuestion& q, const SaturationPoint& p, PressureDifference partial) {
    constexpr double air_g_mol = 28.96;
    constexpr double gas_constant = 8.314462618;
    const double inside = q.inside->in_cubic_metres();
    const double liquid =
        (q.net->in_kilograms() - inside * p.vapor.in_kg_per_m3()) / (p.liquid.in_kg_per_m3() - p.vapor.in_kg_per_m3());
    const double moles =
        partial.in_kilopascals() * 1000 * (inside - liquid) / (gas_constant * p.temperature.in_kelvin());
    return Mass::from_kilograms(moles * air_g_mol / 1000);
}

}  // namespace

std::string_view text_of(AirVerdict verdict) {
    switch (verdict) {
        case AirVerdict::clear:
            return "clear";
        case AirVerdict::inconclusive:
            return "inconclusive";
        case AirVerdict::excess:
            return "excess";
        case AirVerdict::below:
            return "below";
        case AirVerdict::no_liquid:
            return "no-liquid";
        case AirVerdict::liquid_full:
            break;
    }
    return "liquid-full";
}

Result<AirCheck> air_check(const AirCheckQuestion& q) {
    if (q.could_be.empty())
        return fail({ErrorKind::refused,
                     "air-check-contents",
                     "what is in the cylinder is not known: there is no curve to compare with",
                     {},
                     "a refrigerant with a table",
                     "name it: tarebook pt R --cylinder-pressure P --at T"});
    const Refrigerant* highest = nullptr;
    std::optional<SaturationPoint> top;
    std::optional<AbsolutePressure> lowest;
    double vapor = 0;
    std::optional<double> liquid;
    for (const auto* r : q.could_be) {
        const auto point = saturation_at(*r, q.temperature);
        if (!point) return fail(outside_table(*r, point.error()));
        if (!top || point->bubble > top->bubble) {
            top = *point;
            highest = r;
        }
        if (!lowest || point->bubble < *lowest) lowest = point->bubble;
        vapor = std::max(vapor, point->vapor.in_kg_per_m3());
        liquid = std::min(liquid.value_or(point->liquid.in_kg_per_m3()), point->liquid.in_kg_per_m3());
    }
    const auto excess = q.pressure - top->bubble;
    const auto by_thermometer = thermometer_part(*highest, q.temperature, top->bubble, q.thermometer_accuracy);
    const auto by_table = PressureDifference::kilopascals(top->bubble.in_kilopascals() *
                                                          highest->cylinder->pressure_uncertainty_percent / 100);
    const auto band = PressureDifference::kilopascals(
        std::hypot(q.gauge_accuracy.in_kilopascals(), by_thermometer.in_kilopascals(), by_table.in_kilopascals()));
    AirCheck check{.compared_with = highest,
                   .point = *top,
                   .excess = excess,
                   .dew_excess = q.pressure - top->dew,
                   .band = band,
                   .thermometer_part = by_thermometer,
                   .table_part = by_table};
    if (q.inside && q.net) {
        check.vapor_heel = q.inside->filled_with(Density::kg_per_m3(vapor));
        if (*q.net <= *check.vapor_heel) {
            check.verdict = AirVerdict::no_liquid;
            return check;
        }
        if (*q.net >= q.inside->filled_with(Density::kg_per_m3(*liquid))) {
            check.verdict = AirVerdict::liquid_full;
            return check;
        }
    }
    const bool one = q.could_be.size() == 1;
    if (excess > band)
        check.verdict = AirVerdict::excess;
    else if (q.pressure - *lowest < -q.gauge_accuracy)
        // Reported as soon as the gauge alone cannot explain it: a second reading costs little, and a wrong label may
        // hurt.
        check.verdict = AirVerdict::below;
    else
        check.verdict =
            one && excess <= PressureDifference::kilopascals(0) ? AirVerdict::clear : AirVerdict::inconclusive;
    if (excess > PressureDifference::kilopascals(0)) {
        check.air_mole_percent = excess.in_kilopascals() / q.pressure.in_kilopascals() * 100;
        if (check.vapor_heel) check.air = air_in(q, *top, excess);
    }
    return check;
}

}  // namespace tarebook
