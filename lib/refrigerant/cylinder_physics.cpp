#include "tarebook/refrigerant/cylinder_physics.hpp"

#include <algorithm>

namespace tarebook {
namespace {

// The density in the cylinder; at least that of the smallest net weight, because a cylinder under its tare is empty.
Density density_of(Mass net, Volume inside) {
    return Density::kg_per_m3(std::max(0.0, net.in_kilograms()) / inside.in_cubic_metres());
}

}  // namespace

Saturated<FillState> fill_state_at(const Refrigerant& refrigerant, Mass net, Volume inside, Temperature at) {
    const auto point = saturation_at(refrigerant, at);
    if (!point) return tl::unexpected(point.error());
    const double density = density_of(net, inside).in_kg_per_m3();
    const double liquid = point->liquid.in_kg_per_m3();
    const double vapor = point->vapor.in_kg_per_m3();
    if (density >= liquid) return FillState{at, Phases::liquid_full, 1.0, std::nullopt};
    if (density <= vapor) return FillState{at, Phases::all_vapor, 0.0, point->dew};
    return FillState{at, Phases::liquid_and_vapor, (density - vapor) / (liquid - vapor), point->bubble};
}

GaugePressure gauge_at_most(const Refrigerant& refrigerant, AbsolutePressure pressure) {
    const double percent = refrigerant.cylinder ? refrigerant.cylinder->pressure_uncertainty_percent : 0;
    return gauge(AbsolutePressure::kilopascals(pressure.in_kilopascals() * (1 + percent / 100)), standard_atmosphere());
}

Saturated<Mass> vapor_heel(const Refrigerant& refrigerant, Volume inside, Temperature at) {
    return saturation_at(refrigerant, at).map([&](const SaturationPoint& p) { return inside.filled_with(p.vapor); });
}

Saturated<Temperature> liquid_full_temperature(const Refrigerant& refrigerant, Mass net, Volume inside) {
    return liquid_temperature(refrigerant, density_of(net, inside));
}

}  // namespace tarebook
