// Gas that a purge unit took out of a chiller and that was destroyed: what replaces it is no addition, 40 CFR 82.157(k)
// (from memory), where the efficiency of the destruction and how it is known are on record.
#pragma once

#include <string_view>

#include "tarebook/units/error.hpp"
#include "tarebook/units/ratio.hpp"

namespace tarebook {

/// Takes `98: HOW`: percent of the purged gas that was destroyed, at most 100, and how that and its amount are known.
/// Returns the percent. Error (usage): purged-destroyed.
Result<Percent> parse_destroyed(std::string_view text);

}  // namespace tarebook
