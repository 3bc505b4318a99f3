// Global warming potentials by named set, and carbon dioxide equivalents that carry the set's name: two sets never meet
// in one total.
//
//     auto set = find_gwp_set(Rulebook().default_packs(), "aim").value();
//     gwp_of(*Catalogue().find("R-404A"), set).value        // 3921.6
#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/rules/rules.hpp"

namespace tarebook {

/// A set of potentials over 100 years.
struct GwpValues {
    std::string set;
    std::map<std::string, double, std::less<>> values;       ///< of a pack: by designation of a pure substance
    std::optional<double> Refrigerant::*of_entry = nullptr;  ///< else what each entry of the catalogue has
    RuleStatus status = RuleStatus::to_confirm;
    std::string clause;
    /// The potential of a component; nothing where the set has no value for it.
    [[nodiscard]] std::optional<double> of(const Component& component) const;
};

/// The named set of the packs; else one of the catalogue's: "ar4", "ar5", "eu-2024-573". Nothing for another name.
std::optional<GwpValues> find_gwp_set(RulePacks packs, std::string_view set);

/// A part of a blend: its share by mass, 0 to 1, and its potential.
struct GwpPart {
    double fraction = 0;
    double gwp = 0;
};
/// The sum of fraction times potential.
double blend_gwp(std::span<const GwpPart> parts);

/// The potential of a refrigerant by one set.
struct Gwp {
    double value = 0;  ///< 100 years, carbon dioxide is 1
    /// Components that the set has no value for. They count as zero: show them beside the figure.
    std::vector<std::string> without_value;
};
/// The sum of mass fraction times value over the nominal composition.
Gwp gwp_of(const Refrigerant& refrigerant, const GwpValues& set);

/// Tonnes of carbon dioxide equivalent, by one set.
struct CarbonDioxideEquivalent {
    double tonnes = 0;
    std::string set;
};
/// The mass in tonnes, times the potential.
CarbonDioxideEquivalent carbon_dioxide_equivalent(Mass mass, double gwp, std::string set);
/// The sum; zero of no set for an empty list. Error (usage): gwp-sets-mixed.
Result<CarbonDioxideEquivalent> total(const std::vector<CarbonDioxideEquivalent>& parts);

}  // namespace tarebook
