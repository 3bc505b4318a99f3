#include "tarebook/units/quantity.hpp"

#include <fmt/format.h>

#include "decimal.hpp"

namespace tarebook {
AbsolutePressure PressureReading::absolute(AbsolutePressure ambient) const {
    if (const auto* g = std::get_if<GaugePressure>(&value)) return tarebook::absolute(*g, ambient);
    return std::get<AbsolutePressure>(value);
}

Result<Temperature> parse_temperature(std::string_view text) {
    const std::string typed(trimmed(text));
    const auto parts = decimal::figure(typed);
    constexpr const char* forms = "70F or 21C";
    if (!parts.ok) return usage("temperature-number", "cannot read a temperature", typed, forms);
    if (parts.unit.empty())
        return usage("temperature-no-unit", "a temperature needs its unit", typed, forms,
                     fmt::format("write {0}F or {0}C", typed));
    Temperature t = Temperature::celsius(0);
    if (parts.unit == "f")
        t = Temperature::fahrenheit(parts.value);
    else if (parts.unit == "c")
        t = Temperature::celsius(parts.value);
    else
        return usage("temperature-unit", fmt::format("\"{}\" is not a unit of temperature", parts.unit), typed, forms);
    if (t.in_kelvin() <= 0 || t.in_celsius() > 1000)
        return usage("temperature-range", "no thermometer in a machine room shows that", typed, forms);
    return t;
}

Result<PressureReading> parse_pressure(std::string_view text) {
    const std::string typed(trimmed(text));
    const auto parts = decimal::figure(typed);
    constexpr const char* forms = "36psig, 10inHg (vacuum), 500micron, 350kPa or 3.5bar";
    if (!parts.ok) return usage("pressure-number", "cannot read a pressure", typed, forms);
    const auto& u = parts.unit;
    if (u.empty()) return usage("pressure-no-unit", "a pressure needs its unit", typed, forms);
    const double v = parts.value;
    PressureReading reading{AbsolutePressure::kilopascals(0), typed};
    if (u == "psig")
        reading.value = GaugePressure::psig(v);
    else if (u == "psia")
        reading.value = AbsolutePressure::psia(v);
    else if (u == "inhg")
        reading.value = GaugePressure::inhg_vacuum(v);
    else if (u == "micron" || u == "microns")
        reading.value = AbsolutePressure::microns(v);
    else if (u == "kpa" || u == "kpaa")
        reading.value = AbsolutePressure::kilopascals(v);
    else if (u == "bar" || u == "bara")
        reading.value = AbsolutePressure::kilopascals(v * 100);
    else if (u == "kpag")
        reading.value = GaugePressure::kilopascals(v);
    else if (u == "barg")
        reading.value = GaugePressure::kilopascals(v * 100);
    else if (u == "psi")
        return usage("pressure-gauge-or-absolute", "psi alone does not say gauge or absolute", typed, forms,
                     fmt::format("write {}psig for what a gauge shows", v));
    else
        return usage("pressure-unit", fmt::format("\"{}\" is not a unit of pressure", u), typed, forms);
    // 30 inHg is the barometer of a low place on a good day: no vacuum is deeper.
    if ((u == "inhg" && (v < 0 || v > 30.5)) ||
        reading.absolute(AbsolutePressure::kilopascals(104)).in_kilopascals() < 0)
        return usage("pressure-range", "deeper than a perfect vacuum", typed, "0 to about 30 inHg of vacuum");
    if (reading.absolute(standard_atmosphere()).in_kilopascals() > 40'000)
        return usage("pressure-range", "no refrigeration gauge shows that", typed, forms);
    return reading;
}

Result<Volume> parse_water_capacity(std::string_view text, ScaleReads reads) {
    const std::string typed(trimmed(text));
    constexpr const char* forms = "47.6lb, 21.6kg or 21.6L";
    const auto parts = decimal::figure(typed);
    Volume volume = Volume::litres(0);
    if (parts.ok && parts.unit == "l") {
        volume = Volume::litres(parts.value);
    } else {
        const auto weight = parse_weight(typed, reads);
        if (!weight) return fail(weight.error());
        volume = Volume::of_water(weight->mass);
    }
    if (volume <= Volume::litres(0)) return usage("water-capacity", "a water capacity is above zero", typed, forms);
    // Larger than any rail tank car; and the water in it must still be a mass that the book can hold.
    if (volume > Volume::litres(1'000'000)) return usage("water-capacity", "no cylinder is that large", typed, forms);
    return volume;
}

}  // namespace tarebook
