#include "tarebook/refrigerant/piping.hpp"

#include <fmt/format.h>

#include "tarebook/refrigerant/vapor.hpp"

namespace tarebook {
namespace {

std::string words_of(const Pipe& pipe, DisplayUnits units) {
    return fmt::format("{} {} {}, {:.4g} {}", text_of(pipe.role), pipe.size->name, text_of(pipe.size->kind),
                       units == DisplayUnits::kg ? pipe.length.in_metres() : pipe.length.in_feet(),
                       units == DisplayUnits::kg ? "m" : "ft");
}
std::string words_of(const Vessel& vessel, DisplayUnits units) {
    if (units == DisplayUnits::kg) return fmt::format("{}, {:.4g} L", vessel.name, vessel.volume.in_litres());
    return fmt::format("{}, {:.4g} ft3", vessel.name, vessel.volume.in_cubic_feet());
}

Volume share_of(Volume volume, double percent) {
    return Volume::cubic_metres(volume.in_cubic_metres() * percent / 100);
}

}  // namespace

Volume Piping::volume() const {
    double m3 = 0;
    for (const auto& pipe : pipes) m3 += pipe.volume().in_cubic_metres();
    for (const auto& vessel : vessels) m3 += vessel.volume.in_cubic_metres();
    return Volume::cubic_metres(m3);
}

Result<ExpectedCharge> expected_charge(const Refrigerant& gas, const Piping& piping,
                                       const CircuitConditions& conditions) {
    std::optional<Density> suction;
    if (conditions.vapor_pressure) {
        const auto density = vapor_density(gas, *conditions.vapor_pressure, conditions.vapor);
        if (!density) return fail(no_vapor(gas, density.error()));
        suction = *density;
    }
    std::optional<SaturationPoint> warm;
    if (conditions.liquid) {
        const auto point = saturation_at(gas, *conditions.liquid);
        if (!point) return fail(outside_table(gas, point.error()));
        warm = *point;
    }
    ExpectedCharge out;
    const auto add = [&](std::string words, Volume volume, double liquid_percent, std::optional<Density> vapor) {
        ChargePart part{std::move(words), volume, {}, Mass()};
        if (liquid_percent > 0) part.liquid = share_of(volume, liquid_percent).filled_with(warm->liquid);
        if (liquid_percent < 100) {
            part.vapor = std::nullopt;
            if (vapor) part.vapor = share_of(volume, 100 - liquid_percent).filled_with(*vapor);
        }
        out.liquid += part.liquid;
        out.vapor += part.vapor.value_or(Mass());
        out.vapor_unknown = out.vapor_unknown || !part.vapor;
        out.parts.push_back(std::move(part));
    };
    for (const auto& pipe : piping.pipes) {
        const bool full = warm && pipe.role == PipeRole::liquid;
        const bool hot = warm && pipe.role == PipeRole::hot_gas;
        add(words_of(pipe, conditions.units), pipe.volume(), full ? 100 : 0,
            hot ? std::optional(warm->vapor) : suction);
    }
    for (const auto& vessel : piping.vessels)
        add(words_of(vessel, conditions.units), vessel.volume, warm ? vessel.liquid_percent : 0, suction);
    return out;
}

Result<Mass> vapor_left(const Refrigerant& gas, const Piping& piping, AbsolutePressure pressure, Temperature at) {
    const auto density = vapor_density(gas, pressure, at);
    if (!density) return fail(no_vapor(gas, density.error()));
    return piping.volume().filled_with(*density);
}

}  // namespace tarebook
