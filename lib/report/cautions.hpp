// Cautions, short, each given once. They are the usual ones of the trade; local codes, the maker's instructions and
// licensed practice come first.
#pragma once

#include <string>
#include <vector>

#include "tarebook/refrigerant/refrigerant.hpp"

namespace tarebook::report {

inline constexpr std::string_view flammable_rule =
    "only machine, hoses, scale and cylinder rated for it; ventilate, no flame or spark";
inline constexpr std::string_view ammonia_rule = "attacks copper; trained crew with air supply only";
inline constexpr std::string_view toxic_rule = "keep below the exposure limit of its safety data sheet";
/// For work with this gas: what can burn, poison, suffocate or burst.
std::vector<std::string> gas_cautions(const std::vector<const Refrigerant*>& gases, DisplayUnits units);
/// For a cylinder that is stored or filled: heat, and the pressure that it bears.
std::string heat_caution(DisplayUnits units = DisplayUnits::lb);
/// Before a circuit is opened, tested and brazed; `gas` may be null.
std::vector<std::string> opening_cautions(const Refrigerant* gas);
/// The consequences of releasing this gas; `us`: the acts of the United States hold.
std::string venting_caution(const Refrigerant* gas, bool us);

}  // namespace tarebook::report
