// How often equipment has to be checked for leaks where the rule goes by what the charge amounts to: tonnes of carbon
// dioxide equivalent of its saturated part, and the mass of its unsaturated (HFO, HCFO) part, judged apart; the
// stricter result applies.
#pragma once

#include <optional>
#include <string>

#include "tarebook/rules/gwp.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook {

struct ChargeParts {
    CarbonDioxideEquivalent saturated;
    Mass unsaturated;
};
ChargeParts charge_parts(const Refrigerant& refrigerant, Mass charge, const GwpValues& set);

struct LeakCheckQuestion {
    const Refrigerant* refrigerant = nullptr;
    Mass charge;
    bool detection_system = false;
    bool hermetic_and_labelled = false;
    bool residential = false;
};
struct LeakCheckNeed {
    std::optional<Period> every;       ///< nothing: no check is asked for
    std::optional<RuleMatch> match;    ///< the rule that gives the period, or the exemption
    std::optional<ChargeParts> parts;  ///< where the rule goes by them
};
LeakCheckNeed leak_check_need(RulePacks packs, const LeakCheckQuestion& question, Date on);

}  // namespace tarebook
