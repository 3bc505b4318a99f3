// Which rules of the packs apply to a subject on a day.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "fields.hpp"
#include "tarebook/rules/gwp.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {

RuleStatus RuleMatch::status() const {
    return scope ? std::max(rule->status, scope->status) : rule->status;
}

SubstanceClass class_of_component(const Component& component) {
    if (!component.entry) return SubstanceClass::other;
    const auto name = component.entry->class_name;
    if (name == "CFC" || name == "HCFC" || name == "halon") return SubstanceClass::ods;
    if (name == "HFC") return SubstanceClass::hfc;
    if (name == "PFC") return SubstanceClass::pfc;
    if (name == "HFO" || name == "HCFO") return SubstanceClass::unsaturated;
    if (name == "natural (HC)") return SubstanceClass::hydrocarbon;
    if (name == "natural") return SubstanceClass::natural;
    return SubstanceClass::other;
}
std::vector<SubstanceClass> substance_classes(const Refrigerant& refrigerant) {
    std::vector<SubstanceClass> out;
    for (const auto& component : refrigerant.composition) out.push_back(class_of_component(component));
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
}

namespace {

template <class List, class Value>
bool contains(const List& list, const Value& value) {
    return std::find(list.begin(), list.end(), value) != list.end();
}
template <class Entry>
bool in_force(const Entry& e, Date on) {
    return (!e.from || on >= *e.from) && (!e.to || on <= *e.to);
}
// False for a charge or category that is not on record, if the rule asks for one.
template <class Entry>
bool fits(const Entry& e, const RuleSubject& subject) {
    const auto& charge = subject.full_charge;
    if (e.full_charge_from && (!charge || *charge < *e.full_charge_from)) return false;
    if (e.full_charge_above && (!charge || *charge <= *e.full_charge_above)) return false;
    if (e.full_charge_below && (!charge || *charge >= *e.full_charge_below)) return false;
    return e.categories.empty() || (subject.category && contains(e.categories, *subject.category));
}
bool substance_fits(const RuleScope& s, RulePacks packs, const Refrigerant* refrigerant) {
    if (s.any_of.empty() && s.none_of.empty() && s.gwp_set.empty()) return true;
    if (!refrigerant) return false;
    const auto classes = substance_classes(*refrigerant);
    const auto holds = [&](SubstanceClass c) { return contains(classes, c); };
    if (!s.any_of.empty() && std::none_of(s.any_of.begin(), s.any_of.end(), holds)) return false;
    if (std::any_of(s.none_of.begin(), s.none_of.end(), holds)) return false;
    if (s.gwp_set.empty()) return true;
    const auto set = find_gwp_set(packs, s.gwp_set);
    if (!set) return false;
    const double gwp = gwp_of(*refrigerant, *set).value;
    return s.gwp_above ? gwp > *s.gwp_above : gwp >= *s.gwp_from;
}

}  // namespace

bool applies(const RuleScope& scope, RulePacks packs, const RuleSubject& subject, Date on) {
    if (!in_force(scope, on) || !fits(scope, subject)) return false;
    if (subject.category && contains(scope.not_categories, *subject.category)) return false;
    return substance_fits(scope, packs, subject.refrigerant);
}

namespace rules {

std::optional<RuleMatch> match(const RulePack& pack, const Rule& rule, RulePacks packs, const RuleSubject& subject,
                               Date on) {
    if (!in_force(rule, on) || !fits(rule, subject)) return std::nullopt;
    if (rule.scopes.empty()) return RuleMatch{&pack, nullptr, &rule};
    for (const auto index : rule.scopes)
        if (applies(pack.scopes[index], packs, subject, on)) return RuleMatch{&pack, &pack.scopes[index], &rule};
    return std::nullopt;
}

}  // namespace rules

std::optional<RuleMatch> exempt_substitute(RulePacks packs, const RuleSubject& subject, Date on) {
    if (!subject.refrigerant) return std::nullopt;
    for (const auto& m : matching<terms::ExemptSubstitute>(packs, subject, on)) {
        const auto& terms = m.as<terms::ExemptSubstitute>();
        if (contains(terms.gases, subject.refrigerant->designation) && (!terms.in_listed_use || subject.listed_use))
            return m;
    }
    return std::nullopt;
}

std::vector<RuleMatch> leak_repair_regimes(RulePacks packs, const RuleSubject& subject, Date on) {
    return matching<terms::LeakRateCalculation>(packs, subject, on);
}

std::string packs_text(RulePacks packs) {
    std::string out;
    for (const auto* pack : packs) add_word(out, fmt::format("{} {}", pack->id, date_text(pack->date)));
    return out;
}

std::string_view text_of(RuleStatus status) {
    constexpr std::array<std::string_view, 3> words = {"read", "read in print", "to confirm"};
    return words.at(static_cast<std::size_t>(status));
}
std::string_view key_of(RuleStatus status) {
    constexpr std::array<std::string_view, 3> words = {"read", "read-in-print", "to-confirm"};
    return words.at(static_cast<std::size_t>(status));
}

void SpokenRules::add(const RulePack& pack, const Rule& rule, RuleStatus status) {
    auto& [known, rules] = packs_[pack.id];
    known = &pack;
    const auto it = rules.try_emplace(rule.id, status).first;
    it->second = std::max(it->second, status);
}
void SpokenRules::add(const RuleMatch& match) {
    if (match.pack && match.rule) add(*match.pack, *match.rule, match.status());
}
std::vector<SpokenRules::Count> SpokenRules::by_pack() const {
    std::vector<Count> out;
    for (const auto& [id, one] : packs_) {
        Count count{one.first, static_cast<std::int64_t>(one.second.size()), 0};
        for (const auto& [rule, status] : one.second) count.to_confirm += status == RuleStatus::to_confirm ? 1 : 0;
        out.push_back(count);
    }
    return out;
}
std::string SpokenRules::text() const {
    std::string out;
    for (const auto& count : by_pack())
        add_word(out, fmt::format("{} ({}, {} of {} {} to confirm)", count.pack->id, date_text(count.pack->date),
                                  count.to_confirm, count.rules, count.rules == 1 ? "rule" : "rules"));
    return out.empty() ? "none of the packs" : out;
}

}  // namespace tarebook
