#include "tarebook/units/accuracy.hpp"

#include "decimal.hpp"

namespace tarebook {
Result<PressureDifference> parse_pressure_accuracy(std::string_view text) {
    constexpr const char* forms = "2psi, 15kPa or 0.1bar";
    const auto t = decimal::figure(text);
    if (!t.ok || t.negative) return usage("accuracy-number", "cannot read how far the gauge may be off", t.text, forms);
    double kpa = t.value;
    if (t.unit == "psi")
        kpa *= AbsolutePressure::kpa_per_psi;
    else if (t.unit == "bar")
        kpa *= 100;
    else if (t.unit != "kpa")
        return usage("accuracy-unit", "how far a gauge may be off is a pressure", t.text, forms);
    if (kpa > 350)
        return usage("accuracy-range", "a gauge that is off by that much shows nothing", t.text, "up to 50psi");
    return PressureDifference::kilopascals(kpa);
}

Result<TemperatureDifference> parse_temperature_accuracy(std::string_view text) {
    constexpr const char* forms = "2F or 1C";
    const auto t = decimal::figure(text);
    if (!t.ok || t.negative)
        return usage("accuracy-number", "cannot read how far the thermometer may be off", t.text, forms);
    if (t.unit != "f" && t.unit != "c" && t.unit != "k")
        return usage("accuracy-unit", "how far a thermometer may be off is a temperature", t.text, forms);
    const auto off =
        t.unit == "f" ? TemperatureDifference::fahrenheit(t.value) : TemperatureDifference::kelvin(t.value);
    if (off.in_kelvin() > 10)
        return usage("accuracy-range", "a thermometer that is off by that much shows nothing", t.text, "up to 18F");
    return off;
}

Mass ScaleAccuracy::at(Mass load) const {
    return mass + scaled(load.magnitude(), per_million, 1'000'000);
}

Result<ScaleAccuracy> parse_scale_accuracy(std::string_view text) {
    const auto refuse = [&](const char* what) {
        return usage("scale-accuracy", what, std::string(text), "0.1lb, 50g, or 0.5% of the load");
    };
    auto rest = trimmed(text);
    if (!rest.ends_with('%')) {
        const auto weight = parse_weight(rest, ScaleReads::unknown);
        if (!weight) return refuse("cannot read how far the scale may be off");
        if (weight->mass > Mass::pounds(100)) return refuse("a scale that is off by that much shows nothing");
        return ScaleAccuracy{weight->mass, 0};
    }
    rest.remove_suffix(1);
    const auto number = decimal::take_number(rest);
    if (number.digits == 0 || number.digits > 9 || !trimmed(rest).empty())
        return refuse("cannot read how far the scale may be off");
    if (number.scaled > 10 * number.scale) return refuse("a scale that is off by that much shows nothing");
    return ScaleAccuracy{{}, number.scaled * 10'000 / number.scale};
}

Mass class_iii_tolerance(Mass load, Mass division) {
    const auto divisions = load.magnitude().count() / division.count();
    const auto allowed = divisions <= 500 ? 1 : divisions <= 2000 ? 2 : divisions <= 4000 ? 3 : 5;
    return scaled(division, allowed, 1);
}

}  // namespace tarebook
