// Which rule packs apply at a site, as the register says.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "tarebook/register.hpp"
#include "tarebook/rules.hpp"

namespace tarebook {

struct SitePacks {
    std::vector<const RulePack*> packs;  ///< those that a book applies anyway, then those that the site names
    std::vector<std::string> unknown;    ///< named, and not known to this program
};
/// `site`: null where it is not on record.
SitePacks packs_of_site(const Entry* site, const OrderKey& when);

}  // namespace tarebook
