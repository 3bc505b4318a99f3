// A person's own refrigerants. Whatever the bytes: a refusal that names its file, or gases whose tables can be looked
// up. They are taken for as long as the program runs, so a program takes only the first thousand.
#include <cmath>

#include "input_file.hpp"
#include "promise.hpp"
#include "refrigerant/checked_yaml.hpp"
#include "refrigerant/own_source.hpp"
#include "tarebook/refrigerant/own_refrigerants.hpp"
#include "tarebook/refrigerant/saturation.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {

void looked_up(const Refrigerant& gas) {
    promise(!gas.designation.empty() && is_own(gas), "a gas has its name");
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
    static int taken = 0;
    if (taken >= 1000) {
        try {
            (void)catalogue::read_own_refrigerants(file.path());
        } catch (const catalogue::BadSource& e) {
            promise(std::string_view(e.what()).starts_with(file.path()), "a problem names its file");
        }
        return 0;
    }
    const auto gases = load_own_refrigerants(file.path());
    if (!gases) {
        fuzz::helpful(gases.error());
        promise(gases.error().what.starts_with(file.path()), "a problem names its file");
        return 0;
    }
    ++taken;
    for (const auto* gas : *gases) looked_up(*gas);
    return 0;
}
