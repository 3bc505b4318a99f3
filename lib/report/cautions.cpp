#include "cautions.hpp"

#include <algorithm>

namespace tarebook::report {
namespace {

template <class Test>
bool any(const std::vector<const Refrigerant*>& gases, Test test) {
    return std::any_of(gases.begin(), gases.end(), test);
}
bool named(const Refrigerant* gas, std::string_view designation) {
    return gas->designation == designation;
}

}  // namespace

std::vector<std::string> gas_cautions(const std::vector<const Refrigerant*>& gases) {
    std::vector<std::string> out;
    if (any(gases, [](const Refrigerant* g) { return g->flammable(); }))
        out.emplace_back(
            "flammable: only machine, hoses, scale and cylinder rated for it; ventilate, no flame or spark");
    if (any(gases, [](const Refrigerant* g) { return named(g, "R-717"); }))
        out.emplace_back("ammonia: toxic, attacks copper; trained crew with air supply only");
    else if (any(gases, [](const Refrigerant* g) { return g->toxic(); }))
        out.emplace_back("toxic when breathed: keep below the exposure limit of its safety data sheet");
    if (any(gases, [](const Refrigerant* g) { return named(g, "R-744"); }))
        out.emplace_back("carbon dioxide: high pressure at rest; turns to dry ice below 61 psig and can block a vent");
    out.emplace_back("takes the place of air: ventilate, watch low rooms; goggles and gloves, liquid burns cold");
    return out;
}

std::string venting_caution(const Refrigerant* gas) {
    const std::string air = "It takes the place of air: leave and ventilate. ";
    if (!gas)
        return air +
               "Letting a refrigerant go is unlawful in many places (US: 40 CFR 82.154); treat an unknown one so.";
    if (gas->designation == "R-717")
        return air + "Ammonia is toxic and can burn; spills over a threshold must be reported at once in many places.";
    if (gas->designation == "R-744")
        return air + "Carbon dioxide is outside the US venting ban; it suffocates, and cold jets burn.";
    if (gas->hydrocarbon())
        return air + "It burns: no flame or spark far around. The US venting ban leaves out only some uses of it.";
    return air +
           "In the US knowing release is unlawful beyond de minimis losses (Clean Air Act 608(c), 40 CFR 82.154)" +
           (gas->flammable() ? "; it can burn: no flame or spark." : ".");
}

}  // namespace tarebook::report
