#include "tarebook/site_packs.hpp"

#include <algorithm>

namespace tarebook {

SitePacks packs_of_site(const Entry* site, const OrderKey& when) {
    SitePacks out;
    out.packs.assign(default_rule_packs().begin(), default_rule_packs().end());
    if (!site) return out;
    for (const auto& name : rule_pack_names(site->text("rule_packs", when).value_or(""))) {
        const auto* pack = find_rule_pack(name);
        if (!pack)
            out.unknown.push_back(name);
        else if (std::find(out.packs.begin(), out.packs.end(), pack) == out.packs.end())
            out.packs.push_back(pack);
    }
    return out;
}

}  // namespace tarebook
