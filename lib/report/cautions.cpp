#include "cautions.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "tarebook/rules/rules.hpp"

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

std::vector<std::string> gas_cautions(const std::vector<const Refrigerant*>& gases, DisplayUnits units) {
    std::vector<std::string> out;
    if (any(gases, [](const Refrigerant* g) { return g->flammable(); }))
        out.push_back(fmt::format("flammable: {}", flammable_rule));
    if (any(gases, [](const Refrigerant* g) { return named(g, "R-717"); }))
        out.push_back(fmt::format("ammonia: toxic, {}", ammonia_rule));
    else if (any(gases, [](const Refrigerant* g) { return g->toxic(); }))
        out.push_back(fmt::format("toxic when breathed: {}", toxic_rule));
    if (any(gases, [](const Refrigerant* g) { return named(g, "R-744"); }))
        out.push_back(
            fmt::format("carbon dioxide: high pressure at rest; turns to dry ice below {} and can block a vent",
                        units == DisplayUnits::kg ? "4.2 barg" : "61 psig"));
    out.emplace_back("takes the place of air: ventilate, watch low rooms; goggles and gloves, liquid burns cold");
    return out;
}

std::string heat_caution(DisplayUnits units) {
    // cylinder safety sheets (HSE information service 2022; Rutgers REHS); one older text says 110 F
    return fmt::format(
        "heat: never over {}, no flame; warm with tepid water only. Upright, secured, capped, in the shade",
        units == DisplayUnits::kg ? "52 C" : "125 F");
}

std::vector<std::string> opening_cautions(const Refrigerant* gas) {
    const bool chlorine = gas && std::any_of(gas->composition.begin(), gas->composition.end(), [](const Component& c) {
                              const auto of = class_of_component(c);
                              return of == SubstanceClass::ods;
                          });
    std::vector<std::string> out;
    out.emplace_back("one gas, one cylinder, one set of hoses, or purged; hoses off only when they are empty");
    // trade press on brazing (ACHR News, c. 2014); HVACR fundamentals (2014) on cutting
    out.push_back(
        std::string("before heat: all refrigerant out, nitrogen flowing; cut parts out instead of unbrazing. ") +
        (chlorine ? "In a flame this gas makes phosgene and acids" : "In a flame refrigerant makes acid fumes") +
        ": a pungent smell means stop and leave");
    // cylinder and purging texts (US Army TM 9-4120-380-14)
    out.emplace_back("pressure test: dry nitrogen through a regulator, never oxygen or air");
    out.emplace_back("certified persons only; local code and the maker's instructions come first");
    return out;
}

std::string venting_caution(const Refrigerant* gas, bool us) {
    const std::string air = "It takes the place of air: leave and ventilate. ";
    if (!gas)
        return air + "Many places forbid letting a refrigerant go" + (us ? " (US: 40 CFR 82.154(a))" : "") +
               "; treat an unknown one so.";
    if (gas->designation == "R-717")
        return air + "Ammonia is toxic and can burn; spills over a threshold must be reported at once in many places.";
    if (gas->designation == "R-744")
        return air + (us ? "Carbon dioxide is outside the US venting ban; it suffocates, and cold jets burn."
                         : "Carbon dioxide suffocates, and cold jets burn.");
    if (gas->hydrocarbon())
        return air + "It burns: no flame or spark far around." +
               (us ? " The US venting ban leaves out only some uses of it." : "");
    if (!us)
        return air + "Most places forbid letting it go: recover it" +
               (gas->flammable() ? "; it can burn: no flame or spark." : ".");
    return air +
           "In the US no one may knowingly vent or release it, beyond de minimis losses (Clean Air Act 608(c), 40 CFR "
           "82.154(a))" +
           (gas->flammable() ? "; it can burn: no flame or spark." : ".");
}

}  // namespace tarebook::report
