// The rule packs that are known: those of schema/rules, which are compiled in, and perhaps those of files. A value:
// copies are cheap and share what was read, and two rulebooks in one program have nothing to do with each other.
//
//     auto need = evacuation_need(Rulebook().packs_of_country("US"), rack, machine_made, today);
//     const auto more = Rulebook().with(load_rule_pack("town.yaml").value());
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook {

/// Finds packs by id and by country. A compiled pack is good as long as the program runs, one of a file, and a list of
/// packs, as long as the rulebook or a copy of it; the lists of the compiled packs alone as long as the program.
class Rulebook {
 public:
    /// The compiled packs alone.
    Rulebook() = default;
    /// These packs and another one: in the place of the compiled one of the same id, else beside the default ones; of
    /// two of one id that are added, the first counts. Only for looking: what a book records is judged by the compiled
    /// packs, so that every program judges it alike.
    [[nodiscard]] Rulebook with(RulePack pack) const;

    /// All packs: by id, then those that were added beside the default ones.
    [[nodiscard]] RulePacks packs() const;
    /// The pack with this id; null where there is none.
    [[nodiscard]] const RulePack* find(std::string_view id) const;
    /// As find, never null. Error (usage): rule-pack-unknown, with the nearest one.
    [[nodiscard]] Result<const RulePack*> parse(std::string_view name) const;

    /// What is applied where no country is on record: us-82f, us-84c and us-49cfr, and packs that were added.
    [[nodiscard]] RulePacks default_packs() const;
    /// The packs that hold everywhere in a country (ISO 3166-1 alpha-2), and those that were added. Empty where no pack
    /// covers the country. Packs of a region join by name (a site's rule_packs). In a country of the European Union:
    /// those of its acts. For an empty code: the default ones.
    [[nodiscard]] RulePacks packs_of_country(std::string_view country) const;
    /// Whether a pack holds in that country, or in a region of it; one that was added beside the default ones always
    /// does.
    [[nodiscard]] bool speaks_in(const RulePack& pack, std::string_view country) const;

 private:
    struct Files;
    explicit Rulebook(std::shared_ptr<const Files> files) : files_(std::move(files)) {}
    std::shared_ptr<const Files> files_;  // null: none
};

/// Whether the acts of the United States hold in a country; true for an empty code.
bool law_of_the_us(std::string_view country);

/// The ids in a list such as "us-ca, eu-2024-573", in its order; they need not be known.
std::vector<std::string> rule_pack_names(std::string_view text);

/// Reads a pack from a file as strictly as the build does; its refrigerants get the names that they have in
/// `catalogue`. Error (usage): rule-pack, which names file, line and key of the first problem and lists the others.
Result<RulePack> load_rule_pack(const std::filesystem::path& file, const Catalogue& catalogue = {});

}  // namespace tarebook
