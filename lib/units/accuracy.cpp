#include "tarebook/accuracy.hpp"

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

}  // namespace tarebook
