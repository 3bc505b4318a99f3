// Which rule packs apply at a site, as the register says: those of the country in which it stands, and those that it
// names.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "tarebook/ledger/register.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook {

struct SitePacks {
    std::vector<const RulePack*> packs;  ///< those of its country, then those that the site names
    std::vector<std::string> unknown;    ///< named, and not known to this program
    std::vector<std::string> elsewhere;  ///< named, and of another country than the one where the site stands
    std::string country;                 ///< empty: not on record, and the default packs apply
};
/// `site`: null where it is not on record.
SitePacks packs_of_site(const Entry* site, const OrderKey& when);
/// Of the site of an appliance or circuit.
std::vector<const RulePack*> packs_of_place(const Register& reg, std::string_view place, const OrderKey& when);
bool place_under_us_law(const Register& reg, std::string_view place, const OrderKey& when);

/// "no rule pack covers JP (Japan): ..."; empty where a pack speaks there, or no country is on record.
std::string no_pack_text(std::string_view country);

/// Of a site or a cylinder; empty where none is on record.
std::string country_of(const Entry* entry, const OrderKey& when);

}  // namespace tarebook
