#include "tarebook/units/oil_quantity.hpp"

#include <array>

#include "decimal.hpp"

namespace tarebook {
namespace {

struct VolumeUnit {
    std::string_view name;
    double litres;
};
// NIST Handbook 44, appendix C: a US gallon is 231 cubic inches of 25.4 mm, a quart a quarter and a fluid ounce a 128th
// of it.
constexpr double gallon = 3.785411784;
constexpr std::array volume_units = {VolumeUnit{"oz", gallon / 128},
                                     VolumeUnit{"floz", gallon / 128},
                                     VolumeUnit{"ml", 0.001},
                                     VolumeUnit{"cc", 0.001},
                                     VolumeUnit{"l", 1},
                                     VolumeUnit{"qt", gallon / 4},
                                     VolumeUnit{"gal", gallon}};

}  // namespace

Result<OilQuantity> parse_oil_quantity(std::string_view text) {
    constexpr const char* forms = "32oz (fluid), 950ml, 1.5l, 2qt, 1gal, 2lb, 0.9kg or 850g";
    const auto parts = decimal::figure(text);
    const auto refuse = [&](const char* why) { return usage("oil-quantity", why, parts.text, forms); };
    if (!parts.ok || parts.value <= 0) return refuse("cannot read a quantity of oil");
    for (const auto& unit : volume_units) {
        if (unit.name != parts.unit) continue;
        const double litres = parts.value * unit.litres;
        if (litres > 1000) return refuse("no compressor takes so much oil");
        return OilQuantity(Volume::litres(litres));
    }
    if (parts.unit != "lb" && parts.unit != "kg" && parts.unit != "g")
        return refuse("a quantity of oil needs its unit");
    const auto weight = parse_weight(text, ScaleReads::unknown);
    if (!weight) return fail(weight.error());
    if (Mass::from_kilograms(1000) < weight->mass) return refuse("no compressor takes so much oil");
    return OilQuantity(weight->mass);
}

}  // namespace tarebook
