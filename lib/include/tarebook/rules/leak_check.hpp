// How often equipment has to be checked for leaks by a rule that goes by the charge: tonnes of carbon dioxide
// equivalent of its saturated part, and the mass of its unsaturated (HFO, HCFO) part, judged apart; the stricter result
// applies.
#pragma once

#include <optional>
#include <string>

#include "tarebook/rules/gwp.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook {

/// A charge as such a rule sees it.
struct ChargeParts {
    CarbonDioxideEquivalent saturated;
    Mass unsaturated;
};
/// The HFC and PFC components in tonnes by `set`, and the HFO and HCFO components by mass. A component without a value
/// in the set adds no tonnes.
ChargeParts charge_parts(const Refrigerant& refrigerant, Mass charge, const GwpValues& set);

/// A piece of equipment with its charge.
struct LeakCheckQuestion {
    const Refrigerant* refrigerant = nullptr;
    Mass charge;
    bool detection_system = false;
    bool hermetic_and_labelled = false;
    bool residential = false;
};
/// The period between checks, and the rule.
struct LeakCheckNeed {
    std::optional<Period> every;       ///< nothing: no check is asked for
    std::optional<RuleMatch> match;    ///< the rule that gives the period, or the exemption
    std::optional<ChargeParts> parts;  ///< for a rule that goes by them
};
/// The shortest period of the rules that apply on that day. Precondition: `question` has a refrigerant.
LeakCheckNeed leak_check_need(RulePacks packs, const LeakCheckQuestion& question, Date on);

}  // namespace tarebook
