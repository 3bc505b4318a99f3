// How deep a vacuum the regulation asks for before an appliance is opened or disposed of: 40 CFR 82.156 Table 1, by
// pressure class (82.152), full charge of the appliance and the day the recovery machine was made.
//
//     const auto packs = Rulebook().default_packs();
//     auto need = evacuation_need(packs, {gas, Mass::pounds(900), {}}, machine_made, today).value();
//     reaches_level(got, need->level, barometer);
//
// It informs: whether a level is met is what the figures say, not that a system may be opened.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tarebook/rules/rules.hpp"

namespace tarebook {

/// The pressure class of a refrigerant, and the pressure that makes it.
struct PressureClassFact {
    PressureClass pressure_class = PressureClass::low;
    std::optional<AbsolutePressure> at_104f;  ///< bubble point; nothing where the critical temperature is below
    /// The class on the other side of a boundary that is within 5 %.
    std::optional<PressureClass> near;
    const Rule* rule = nullptr;
};
/// The class by the bubble point at 104 F; very high where the critical temperature is below. Error (refused):
/// pressure-class-unknown, where there is no table or no pack has the classes.
Result<PressureClassFact> pressure_class(RulePacks packs, const Refrigerant& refrigerant);

/// A level, the rule that asks for it, and what was assumed.
struct EvacuationNeed {
    PressureLevel level = GaugePressure::kilopascals(0);
    RuleMatch match;
    PressureClassFact pressure_class;
    bool stricter_of_two = false;       ///< a boundary of the classes is near, and the other class asks for more
    bool machine_date_unknown = false;  ///< the strictest row was taken
    bool full_charge_unknown = false;   ///< the strictest row was taken
    bool small_appliance = false;       ///< 82.156(b) in the place of Table 1: the level, or a share of the charge
    std::vector<RuleMatch> exceptions;  ///< each needs a reason on record
};
/// The strictest level that can be meant. Nothing where no rule covers the gas on that day, or where a rule exempts the
/// gas in this equipment. Error (refused): pressure-class-unknown.
Result<std::optional<EvacuationNeed>> evacuation_need(RulePacks packs, const RuleSubject& subject,
                                                      std::optional<Date> machine_made, Date on);

/// The level as an absolute pressure: Table 1 counts its vacuums below 29.9 inHg.
AbsolutePressure absolute_of(const PressureLevel& level);
/// For people: "10 inHg vacuum", "25 mmHg absolute", "0 inHg vacuum (0 psig)"; with kilograms "-0.34 barg", "33.3 mbar
/// absolute", "0 barg".
std::string level_text(const PressureLevel& level, DisplayUnits units = DisplayUnits::lb);
/// Whether the reading is at or below the level. A gauge reading and a vacuum level both are below `ambient`, the
/// barometer of the place, as gauges are read.
bool reaches_level(const PressureReading& got, const PressureLevel& level, AbsolutePressure ambient);

}  // namespace tarebook
