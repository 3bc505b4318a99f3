// Rule packs: what regulations say, as data with clause, dates and status. The packs of schema/rules are compiled in; a
// file of the same form can be read at run time. Rules inform: they never refuse a recording, and nothing here claims
// compliance.
//
//     RuleSubject rack{find_refrigerant("R-404A"), Mass::pounds(900), ApplianceCategory::commercial_refrigeration};
//     for (const auto& m : matching<terms::LeakRateThreshold>(default_rule_packs(), rack, day)) ...
//
// A rule applies by the date of the event: what moved from one regime to another is judged by each in its time.
#pragma once

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/rules/rule_terms.hpp"

namespace tarebook {

/// Whether somebody read the value in the clause, read it in print (a handbook, the trade press, an agency's page about
/// the clause), or wrote it down from memory. From best to worst: what rests on two takes the worse.
enum class RuleStatus { read, read_in_print, to_confirm };
std::string_view text_of(RuleStatus status);  ///< "read", "read in print", "to confirm"
std::string_view key_of(RuleStatus status);   ///< the same for programs: "read-in-print"

enum class ApplianceCategory {
    commercial_refrigeration,
    industrial_process,
    comfort_cooling,
    residential_light_commercial_ac,
    refrigerated_transport,
    other
};
std::string_view text_of(ApplianceCategory category);
/// The words of the register: "commercial-refrigeration".
std::optional<ApplianceCategory> appliance_category_from(std::string_view text);

/// What a refrigerant is to a regulation, by the classes of its components.
enum class SubstanceClass { ods, hfc, pfc, unsaturated, hydrocarbon, natural, other };
/// Each class once, in the order of the enumeration.
std::vector<SubstanceClass> substance_classes(const Refrigerant& refrigerant);
SubstanceClass class_of_component(std::string_view designation);

/// To whom a group of rules speaks, and when.
struct RuleScope {
    std::string id, clause, note;
    RuleStatus status = RuleStatus::to_confirm;
    std::optional<Date> from, to;  ///< both days included
    std::vector<SubstanceClass> any_of, none_of;
    std::optional<double> gwp_from, gwp_above;
    std::string gwp_set;
    std::optional<Mass> full_charge_from, full_charge_above, full_charge_below;
    std::vector<ApplianceCategory> categories, not_categories;
    /// The section without its paragraphs: "40 CFR 84.106".
    [[nodiscard]] std::string section() const;
};

struct Rule {
    std::string id, clause, note;
    RuleStatus status = RuleStatus::to_confirm;
    std::optional<Date> from, to;     ///< both days included
    std::vector<std::size_t> scopes;  ///< into the pack's scopes; empty where it speaks to all
    std::vector<ApplianceCategory> categories;
    std::optional<Mass> full_charge_from, full_charge_above, full_charge_below;
    RuleTerms terms;
    [[nodiscard]] std::string_view kind() const;  ///< "leak-rate-threshold"
};

struct RulePack {
    std::string id, title, jurisdiction, source;
    Date date{};  ///< of the collection
    std::vector<RuleScope> scopes;
    std::vector<Rule> rules;
};

/// All packs that are compiled in, by id; they live as long as the program.
const std::vector<const RulePack*>& compiled_rule_packs();
/// Null where no compiled pack has that id.
const RulePack* find_rule_pack(std::string_view id);
/// The names in "us-ca, eu-2024-573", one by one.
std::vector<std::string> rule_pack_names(std::string_view text);
/// As find_rule_pack, with the nearest one in the error. Error (usage): rule-pack-unknown.
Result<const RulePack*> parse_rule_pack(std::string_view name);
/// us-82f, us-84c and us-49cfr, and what was taken from a file: what is applied where no country is on record.
std::span<const RulePack* const> default_rule_packs();

/// The packs that speak everywhere in a country (ISO 3166-1 alpha-2), and what was taken from a file. Empty where no
/// pack covers the country. Those of a region join by name (a site's rule_packs). Of a country that is not on record:
/// the default ones. In a country of the European Union: those of its acts.
std::span<const RulePack* const> packs_of_country(std::string_view country);
/// Whether a pack speaks in that country, or in a region of it.
bool speaks_in(const RulePack& pack, std::string_view country);
/// Whether the acts of the United States hold there; also where no country is on record.
bool law_of_the_us(std::string_view country);

/// Reads a pack from a file as strictly as the build does. Error (usage): rule-pack, which names file, line and key of
/// the first problem and lists the others.
Result<RulePack> load_rule_pack(const std::filesystem::path& file);

/// Takes a pack from a file for this run of the program, before the first look at any: in the place of the compiled one
/// of the same id, else beside the default ones. Only for looking: what a book records is judged by the compiled packs,
/// so that any program judges it alike. Errors: those of load_rule_pack.
Result<void> take_rule_pack(const std::filesystem::path& file);

/// What a rule is asked about. What is not on record is absent: such a subject is inside no scope that asks for it.
struct RuleSubject {
    const Refrigerant* refrigerant = nullptr;
    std::optional<Mass> full_charge;
    std::optional<ApplianceCategory> category;
    bool hermetic = false;    ///< factory sealed, and labelled so
    bool listed_use = false;  ///< a use of hydrocarbons that 40 CFR 82.154(a)(1) lists, as the register says
};

using RulePacks = std::span<const RulePack* const>;

/// A rule that speaks to the subject, with the scope through which it does.
struct RuleMatch {
    const RulePack* pack = nullptr;
    const RuleScope* scope = nullptr;  ///< null where the rule speaks to all
    const Rule* rule = nullptr;
    /// The worse of the rule's and the scope's.
    [[nodiscard]] RuleStatus status() const;
    template <class Terms>
    [[nodiscard]] const Terms& as() const {
        return std::get<Terms>(rule->terms);
    }
};

bool applies(const RuleScope& scope, RulePacks packs, const RuleSubject& subject, Date on);

namespace rules {
std::optional<RuleMatch> match(const RulePack& pack, const Rule& rule, RulePacks packs, const RuleSubject& subject,
                               Date on);
}

/// The rules of one kind that apply, pack by pack in the order of their files.
template <class Terms>
std::vector<RuleMatch> matching(RulePacks packs, const RuleSubject& subject, Date on) {
    std::vector<RuleMatch> out;
    for (const auto* pack : packs)
        for (const auto& rule : pack->rules)
            if (std::holds_alternative<Terms>(rule.terms))
                if (auto match = rules::match(*pack, rule, packs, subject, on)) out.push_back(*match);
    return out;
}
/// The first of them.
template <class Terms>
std::optional<RuleMatch> first_matching(RulePacks packs, const RuleSubject& subject, Date on) {
    auto all = matching<Terms>(packs, subject, on);
    if (all.empty()) return std::nullopt;
    return all.front();
}

/// The rule that exempts the subject's refrigerant in its equipment; nothing where none does.
std::optional<RuleMatch> exempt_substitute(RulePacks packs, const RuleSubject& subject, Date on);

/// The leak-repair scopes that the subject is under on a day: usually one or none; two where a blend holds substances
/// of both.
std::vector<RuleMatch> leak_repair_regimes(RulePacks packs, const RuleSubject& subject, Date on);

/// The packs by name and date of collection: "us-ca 2026-11-25, eu-2024-573 2026-11-25".
std::string packs_text(RulePacks packs);

/// The rules that spoke, or could have spoken, about what a page shows: gathered while it is made.
class SpokenRules {
 public:
    void add(const RulePack& pack, const Rule& rule, RuleStatus status);
    void add(const RuleMatch& match);
    void add(const SpokenRules& others);
    /// Each rule of these kinds that applies to the subject on that day.
    template <class... Terms>
    void add_matching(RulePacks packs, const RuleSubject& subject, Date on) {
        (
            [&] {
                for (const auto& m : matching<Terms>(packs, subject, on)) add(m);
            }(),
            ...);
    }
    struct Count {
        const RulePack* pack = nullptr;
        std::int64_t rules = 0, to_confirm = 0;
    };
    /// In the order of the packs' ids.
    [[nodiscard]] std::vector<Count> by_pack() const;
    /// "us-ca (2026-11-25, 2 of 7 rules to confirm)", one pack after the other; "none of the packs".
    [[nodiscard]] std::string text() const;

 private:
    std::map<std::string, std::pair<const RulePack*, std::map<std::string, RuleStatus>>> packs_;
};

}  // namespace tarebook
