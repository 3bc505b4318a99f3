// Rule packs: what regulations say, as data with clause, dates and status. A Rulebook says which packs there are. Rules
// inform: they never refuse a recording, and nothing here claims compliance.
//
//     RuleSubject rack{Catalogue().find("R-404A"), Mass::pounds(900), ApplianceCategory::commercial_refrigeration};
//     for (const auto& m : matching<terms::LeakRateThreshold>(Rulebook().default_packs(), rack, day)) ...
//
// A rule applies by the date of the event: what moved from one regime to another is judged by each in its time.
#pragma once

#include <cstdint>
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/rules/rule_terms.hpp"

namespace tarebook {

/// How a value is known: read in the clause, read in print (a handbook, the trade press, an agency's page about the
/// clause), or written down from memory. From best to worst: a figure that rests on two takes the worse.
enum class RuleStatus { read, read_in_print, to_confirm };
std::string_view text_of(RuleStatus status);  ///< "read", "read in print", "to confirm"
std::string_view key_of(RuleStatus status);   ///< the same for programs: "read-in-print"

/// The sorts of appliances that rules tell apart.
enum class ApplianceCategory {
    commercial_refrigeration,
    industrial_process,
    comfort_cooling,
    residential_light_commercial_ac,
    refrigerated_transport,
    other
};
/// The word of the register: "commercial-refrigeration".
std::string_view text_of(ApplianceCategory category);
/// The category of a word of the register; nothing for any other text.
std::optional<ApplianceCategory> appliance_category_from(std::string_view text);

/// How regulations class a pure substance.
enum class SubstanceClass { ods, hfc, pfc, unsaturated, hydrocarbon, natural, other };
/// The classes of its components, each once, in the order of the enumeration.
std::vector<SubstanceClass> substance_classes(const Refrigerant& refrigerant);
/// The class of a component; `other` for one without an entry.
SubstanceClass class_of_component(const Component& component);

/// A group of rules: the substances, equipment and days that they are for.
struct RuleScope {
    std::string id, clause, note;
    RuleStatus status = RuleStatus::to_confirm;
    std::optional<Date> from, to;  ///< both days included
    std::vector<SubstanceClass> any_of, none_of;
    std::optional<double> gwp_from, gwp_above;  ///< 100 years, by `gwp_set`
    std::string gwp_set;
    std::optional<Mass> full_charge_from, full_charge_above, full_charge_below;
    std::vector<ApplianceCategory> categories, not_categories;
};

/// One rule of a pack.
struct Rule {
    std::string id, clause, note;
    RuleStatus status = RuleStatus::to_confirm;
    std::optional<Date> from, to;     ///< both days included
    std::vector<std::size_t> scopes;  ///< their places in the pack's scopes; a rule without any is for all
    std::vector<ApplianceCategory> categories;
    std::optional<Mass> full_charge_from, full_charge_above, full_charge_below;
    RuleTerms terms;
};

/// The rules of one act or regulation, or of a part of it.
struct RulePack {
    std::string id, title, jurisdiction, source;  ///< jurisdiction: ISO 3166-1 or 3166-2 code, or EU
    Date date{};                                  ///< of the collection
    std::vector<RuleScope> scopes;
    std::vector<Rule> rules;
};

/// The equipment and refrigerant that a rule is asked about. What is not on record is absent: such a subject is in no
/// scope that asks for it.
struct RuleSubject {
    const Refrigerant* refrigerant = nullptr;
    std::optional<Mass> full_charge;
    std::optional<ApplianceCategory> category;
    bool hermetic = false;    ///< factory sealed, and labelled so
    bool listed_use = false;  ///< a use of hydrocarbons that 40 CFR 82.154(a)(1) lists, as the register says
};

/// Packs in the order in which they are asked.
using RulePacks = std::span<const RulePack* const>;

/// A rule that applies to the subject, with the scope through which it does.
struct RuleMatch {
    const RulePack* pack = nullptr;
    const RuleScope* scope = nullptr;  ///< null for a rule without scopes
    const Rule* rule = nullptr;
    /// The worse of the rule's and the scope's.
    [[nodiscard]] RuleStatus status() const;
    /// What the rule says. Throws std::bad_variant_access for another kind than the rule's.
    template <class Terms>
    [[nodiscard]] const Terms& as() const {
        return std::get<Terms>(rule->terms);
    }
};

/// Whether the subject is in the scope on that day. `packs` have the sets of potentials that the scope names.
bool applies(const RuleScope& scope, RulePacks packs, const RuleSubject& subject, Date on);

namespace rules {
/// The rule with the first of its scopes that the subject is in; nothing where it does not apply on that day.
std::optional<RuleMatch> match(const RulePack& pack, const Rule& rule, RulePacks packs, const RuleSubject& subject,
                               Date on);
}  // namespace rules

/// The rules of one kind that apply on that day, pack by pack in the order of their files.
template <class Terms>
std::vector<RuleMatch> matching(RulePacks packs, const RuleSubject& subject, Date on) {
    std::vector<RuleMatch> out;
    for (const auto* pack : packs)
        for (const auto& rule : pack->rules)
            if (std::holds_alternative<Terms>(rule.terms))
                if (auto match = rules::match(*pack, rule, packs, subject, on)) out.push_back(*match);
    return out;
}
/// The first of them; nothing where there is none.
template <class Terms>
std::optional<RuleMatch> first_matching(RulePacks packs, const RuleSubject& subject, Date on) {
    auto all = matching<Terms>(packs, subject, on);
    if (all.empty()) return std::nullopt;
    return all.front();
}

/// The rule that exempts the subject's refrigerant in its equipment; nothing where there is none.
std::optional<RuleMatch> exempt_substitute(RulePacks packs, const RuleSubject& subject, Date on);

/// The leak-repair scopes that the subject is in on a day: usually one or none; two where a blend holds substances of
/// both.
std::vector<RuleMatch> leak_repair_regimes(RulePacks packs, const RuleSubject& subject, Date on);

/// The packs by name and date of collection: "us-ca 2026-11-25, eu-2024-573 2026-11-25".
std::string packs_text(RulePacks packs);

/// The rules that a page rests on, or could have rested on: gathered while the page is made.
class SpokenRules {
 public:
    /// One rule, or all of others. Of two statuses of one rule the worse is kept.
    void add(const RulePack& pack, const Rule& rule, RuleStatus status);
    void add(const RuleMatch& match);
    /// Each rule of these kinds that applies to the subject on that day.
    template <class... Terms>
    void add_matching(RulePacks packs, const RuleSubject& subject, Date on) {
        (
            [&] {
                for (const auto& m : matching<Terms>(packs, subject, on)) add(m);
            }(),
            ...);
    }
    /// How many rules of a pack, and how many of them are to be confirmed.
    struct Count {
        const RulePack* pack = nullptr;
        std::int64_t rules = 0, to_confirm = 0;
    };
    /// One count a pack, in the order of their ids.
    [[nodiscard]] std::vector<Count> by_pack() const;
    /// "us-ca (2026-11-25, 2 of 7 rules to confirm)", one pack after the other; "none of the packs".
    [[nodiscard]] std::string text() const;

 private:
    std::map<std::string, std::pair<const RulePack*, std::map<std::string, RuleStatus>>> packs_;
};

}  // namespace tarebook
