// A person's own refrigerants. Whatever the bytes: a refusal that names its file, or gases whose tables can be looked
// up.
#include <cmath>

#include "input_file.hpp"
#include "promise.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/refrigerant/saturation.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {

void looked_up(const Refrigerant& gas) {
    promise(!gas.designation.empty() && gas.from_own_file, "a gas has its name");
    promise(gas.saturation.rows.size() >= 3, "a table has rows");
    const auto first = gas.saturation.rows.front().temperature, last = gas.saturation.rows.back().temperature;
    for (int i = 0; i <= 40; ++i) {
        const auto at = Temperature::celsius(first.in_celsius() + i * (last.in_celsius() - first.in_celsius()) / 40);
        const auto found = saturation_at(gas, at);
        if (!found) continue;
        promise(std::isfinite(found->bubble.in_kilopascals()) && found->bubble.in_kilopascals() > 0,
                "a pressure is a number");
        promise(std::isfinite(found->liquid.in_kg_per_m3()) && found->liquid > found->vapor,
                "liquid is heavier than its vapour");
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const fuzz::InputFile file(data, size);
    const auto gases = Catalogue::with_own(file.path());
    if (!gases) {
        fuzz::helpful(gases.error());
        promise(gases.error().what.starts_with(file.path()), "a problem names its file");
        return 0;
    }
    for (const auto& gas : gases->own()) looked_up(gas);
    return 0;
}
