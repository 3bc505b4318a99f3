// Cautions, short, each given once. They are the usual ones of the trade; local codes, the maker's instructions and
// licensed practice come first.
#pragma once

#include <string>
#include <vector>

#include "tarebook/refrigerant/refrigerant.hpp"

namespace tarebook::report {

/// For work with this gas: what can burn, poison, suffocate or burst.
inline constexpr std::string_view flammable_rule =
    "only machine, hoses, scale and cylinder rated for it; ventilate, no flame or spark";
std::vector<std::string> gas_cautions(const std::vector<const Refrigerant*>& gases, DisplayUnits units);
/// For a cylinder that is stored or filled: heat, and the pressure that it bears.
std::string heat_caution(DisplayUnits units = DisplayUnits::lb);
/// Before a circuit is opened, tested and brazed; `gas` may be null.
std::vector<std::string> opening_cautions(const Refrigerant* gas);
/// The consequences of releasing this gas; `us`: the acts of the United States hold.
std::string venting_caution(const Refrigerant* gas, bool us);

}  // namespace tarebook::report
