// How deep a vacuum the regulation asks for before an appliance is opened or disposed of: 40 CFR 82.156 Table 1, by
// pressure class (82.152), full charge of the appliance and the day the recovery machine was made.
//
//     auto need = evacuation_need(default_rule_packs(), {gas, Mass::pounds(900), {}}, machine_made, today);
//     reaches_level(got, need->level, barometer);
//
// It informs: whether a level is met is what the figures say, not that a system may be opened.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tarebook/rules/rules.hpp"

namespace tarebook {

struct PressureClassFact {
    PressureClass pressure_class = PressureClass::low;
    std::optional<AbsolutePressure> at_104f;  ///< bubble point; nothing where the critical temperature is below
    /// The class on the other side of a boundary that is within 5 %.
    std::optional<PressureClass> near;
    const Rule* rule = nullptr;
};
/// Errors (refused): pressure-class-unknown, where there is no table or no pack has the classes.
Result<PressureClassFact> pressure_class(RulePacks packs, const Refrigerant& refrigerant);

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
/// Returns nothing if no rule covers the gas on that day, or if a rule exempts the gas in this equipment. Errors: those
/// of pressure_class.
Result<std::optional<EvacuationNeed>> evacuation_need(RulePacks packs, const RuleSubject& subject,
                                                      std::optional<Date> machine_made, Date on);

/// Table 1 counts its vacuums below 29.9 inHg.
AbsolutePressure absolute_of(const PressureLevel& level);
/// "10 inHg vacuum", "25 mmHg absolute", "0 inHg vacuum (0 psig)".
std::string level_text(const PressureLevel& level);
/// Whether the reading is at or below the level; a gauge reading is taken below the barometer of the place, and a
/// vacuum level below that barometer too, as gauges are read.
bool reaches_level(const PressureReading& got, const PressureLevel& level, AbsolutePressure ambient);

}  // namespace tarebook
