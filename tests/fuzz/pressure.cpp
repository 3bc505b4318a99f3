// Typed pressures, temperatures and water capacities. What is accepted is a number that can be computed with, and the
// words kept with it mean the same number.
#include <cmath>

#include "promise.hpp"
#include "tarebook/units/quantity.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {

void pressure(std::string_view text) {
    const auto reading = parse_pressure(text);
    if (!reading) return fuzz::helpful(reading.error());
    const auto kpa = reading->absolute(standard_atmosphere()).in_kilopascals();
    // A gauge may stand a little below a perfect vacuum of the standard barometer where the real one is higher.
    promise(std::isfinite(kpa) && kpa > -3 && kpa <= 40'000, "an accepted pressure is one that a gauge can show");
    const auto again = parse_pressure(reading->typed);
    promise(again && again->value == reading->value, "the words kept with a pressure mean the same pressure");
}

void temperature(std::string_view text) {
    const auto t = parse_temperature(text);
    if (!t) return fuzz::helpful(t.error());
    promise(std::isfinite(t->in_kelvin()) && t->in_kelvin() > 0, "an accepted temperature is above absolute zero");
}

void water_capacity(std::string_view text, ScaleReads reads) {
    const auto volume = parse_water_capacity(text, reads);
    if (!volume) return fuzz::helpful(volume.error());
    promise(std::isfinite(volume->in_litres()) && volume->in_litres() > 0, "an accepted cylinder has an inside");
    promise(!volume->filled_with(water_at_60f()).is_negative(), "an accepted cylinder can be filled with water");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto text = fuzz::text_of(data, size);
    pressure(text);
    temperature(text);
    for (const auto reads : {ScaleReads::unknown, ScaleReads::lb, ScaleReads::lb_oz, ScaleReads::kg})
        water_capacity(text, reads);
    return 0;
}
