// Which rule packs apply at a site, as the register says: those of the country in which it stands, and those that it
// names.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "tarebook/ledger/register.hpp"
#include "tarebook/rules/rulebook.hpp"

namespace tarebook {

/// The packs of a site, and the names that give none.
struct SitePacks {
    std::vector<const RulePack*> packs;  ///< those of its country, then those that the site names
    std::vector<std::string> unknown;    ///< named, and not known to this program
    std::vector<std::string> elsewhere;  ///< named, and of another country than that of the site
    std::string country;                 ///< empty: not on record, and the default packs apply
};
/// The packs at a moment. `site`: null if not on record.
SitePacks packs_of_site(const Rulebook& rules, const Entry* site, const OrderKey& when);
/// The packs of the site of an appliance or circuit.
std::vector<const RulePack*> packs_of_place(const Rulebook& rules, const Register& reg, std::string_view place,
                                            const OrderKey& when);
/// Whether the acts of the United States hold at the site of an appliance or circuit; also where no country is on
/// record.
bool place_under_us_law(const Register& reg, std::string_view place, const OrderKey& when);

/// For people: "no rule pack covers JP (Japan): ..."; empty where a pack covers it, or for an empty code.
std::string no_pack_text(const Rulebook& rules, std::string_view country);

/// The country of a site or a cylinder at a moment, ISO 3166-1 alpha-2; empty where none is on record, or for null.
std::string country_of(const Entry* entry, const OrderKey& when);

}  // namespace tarebook
