// Cautions, short and each said once. They are the usual ones of the trade; local codes, the maker's instructions and
// licensed practice come first.
#pragma once

#include <string>
#include <vector>

#include "tarebook/refrigerant/refrigerant.hpp"

namespace tarebook::report {

/// For work with this gas: what can burn, poison, suffocate or burst.
std::vector<std::string> gas_cautions(const std::vector<const Refrigerant*>& gases);
/// A cylinder that stands or is filled: heat, and what holds it.
std::string heat_caution(DisplayUnits units = DisplayUnits::lb);
/// Before a circuit is opened, tested and brazed; `gas` may be null.
std::vector<std::string> opening_cautions(const Refrigerant* gas);
/// What letting this gas go means; `us`: the acts of the United States hold there.
std::string venting_caution(const Refrigerant* gas, bool us);

}  // namespace tarebook::report
