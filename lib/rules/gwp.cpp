#include "tarebook/rules/gwp.hpp"

#include <fmt/format.h>

namespace tarebook {
namespace {

std::optional<GwpValues> catalogue_set(std::string_view set) {
    std::optional<double> Refrigerant::*field = nullptr;
    std::string_view name;
    if (set == "ar4") field = &Refrigerant::gwp_ar4, name = "gwp_ar4";
    if (set == "ar5") field = &Refrigerant::gwp_ar5, name = "gwp_ar5";
    if (set == "eu-2024-573") field = &Refrigerant::gwp_eu_2024_573, name = "gwp_eu_2024_573";
    if (!field) return std::nullopt;
    // To confirm as a whole, because some of the values are from memory.
    return GwpValues{
        std::string(set), {}, field, RuleStatus::to_confirm, fmt::format("schema/refrigerants.yaml, {}", name)};
}

}  // namespace

std::optional<double> GwpValues::of(const Component& component) const {
    if (of_entry) return component.entry && !component.entry->blend() ? component.entry->*of_entry : std::nullopt;
    const auto it = values.find(component.designation);
    return it == values.end() ? std::nullopt : std::optional(it->second);
}

std::optional<GwpValues> find_gwp_set(RulePacks packs, std::string_view set) {
    for (const auto* pack : packs)
        for (const auto& rule : pack->rules)
            if (const auto* terms = std::get_if<terms::GwpSet>(&rule.terms); terms && terms->set == set)
                return GwpValues{
                    terms->set, {terms->values.begin(), terms->values.end()}, nullptr, rule.status, rule.clause};
    return catalogue_set(set);
}

double blend_gwp(std::span<const GwpPart> parts) {
    double sum = 0;
    for (const auto& part : parts) sum += part.fraction * part.gwp;
    return sum;
}

Gwp gwp_of(const Refrigerant& refrigerant, const GwpValues& set) {
    Gwp out;
    std::vector<GwpPart> parts;
    for (const auto& component : refrigerant.composition) {
        if (const auto value = set.of(component))
            parts.push_back({component.mass_percent / 100.0, *value});
        else
            out.without_value.emplace_back(component.designation);
    }
    out.value = blend_gwp(parts);
    return out;
}

CarbonDioxideEquivalent carbon_dioxide_equivalent(Mass mass, double gwp, std::string set) {
    return {mass.in_kilograms() / 1000.0 * gwp, std::move(set)};
}

Result<CarbonDioxideEquivalent> total(const std::vector<CarbonDioxideEquivalent>& parts) {
    CarbonDioxideEquivalent sum;
    for (const auto& part : parts) {
        if (!sum.set.empty() && part.set != sum.set)
            return usage("gwp-sets-mixed", "figures by two sets of potentials make no total",
                         sum.set + " and " + part.set, "one named set", "compute all of them by one set");
        sum.set = part.set;
        sum.tonnes += part.tonnes;
    }
    return sum;
}

}  // namespace tarebook
