// Used gas that a charge or reuse drew, and its owners.
#pragma once

#include "all_checks.hpp"

namespace tarebook::checks {

bool is_used(Condition condition);

struct UsedGas {
    const kinds::Put* put;
    const Effect* from;
    std::string place_owner;        ///< empty if not on record
    std::set<std::string> foreign;  ///< owners in other groups than the equipment's
    bool untold = false;            ///< the owner of some of it is not on record
};
std::optional<UsedGas> used_gas(const Context& c);

}  // namespace tarebook::checks
