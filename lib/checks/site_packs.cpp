#include "tarebook/checks/site_packs.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "tarebook/units/country.hpp"

namespace tarebook {

std::string country_of(const Entry* entry, const OrderKey& when) {
    return entry ? entry->text("country", when).value_or("") : "";
}

SitePacks packs_of_site(const Rulebook& rules, const Entry* site, const OrderKey& when) {
    SitePacks out;
    out.country = country_of(site, when);
    const auto of_country = rules.packs_of_country(out.country);
    out.packs.assign(of_country.begin(), of_country.end());
    if (!site) return out;
    for (const auto& name : rule_pack_names(site->text("rule_packs", when).value_or(""))) {
        const auto* pack = rules.find(name);
        if (!pack)
            out.unknown.push_back(name);
        else if (!out.country.empty() && !rules.speaks_in(*pack, out.country))
            out.elsewhere.push_back(name);
        else if (std::find(out.packs.begin(), out.packs.end(), pack) == out.packs.end())
            out.packs.push_back(pack);
    }
    return out;
}

std::vector<const RulePack*> packs_of_place(const Rulebook& rules, const Register& reg, std::string_view place,
                                            const OrderKey& when) {
    return packs_of_site(rules, reg.find(EntryKind::site, site_of(place)), when).packs;
}

bool place_under_us_law(const Register& reg, std::string_view place, const OrderKey& when) {
    return law_of_the_us(country_of(reg.find(EntryKind::site, site_of(place)), when));
}

std::string no_pack_text(const Rulebook& rules, std::string_view country) {
    if (country.empty() || !rules.packs_of_country(country).empty()) return {};
    return fmt::format("no rule pack covers {}: the rules of no country are applied to it", country_text(country));
}

}  // namespace tarebook
