// What a refrigerant identifier shows of a gas: the percent of each part.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/units/error.hpp"
#include "tarebook/units/ratio.hpp"

namespace tarebook {

/// A part of a gas: a designation, "HC" (hydrocarbons that the instrument does not tell apart) or "other".
struct IdentifiedPart {
    std::string substance;
    Percent percent;
};

/// Takes `R-22 98.5, R-134a 1.5` and gives it with designations, in its order. The parts are at most 100.5 % together,
/// as instruments round each. Error (usage): identified-part.
Result<std::string> parse_identified(const Catalogue& catalogue, std::string_view text);
/// The parts of what parse_identified gave; none for any other text.
std::vector<IdentifiedPart> identified_parts(std::string_view text);
/// The percent of what is no part of this gas: neither the gas itself nor a component of it.
Percent foreign_to(const Refrigerant& gas, const std::vector<IdentifiedPart>& parts);

}  // namespace tarebook
