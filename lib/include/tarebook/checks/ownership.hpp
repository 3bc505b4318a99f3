// Used gas that may change its owner without a reclaimer: 40 CFR 82.154(d) does not catch each transfer.
#pragma once

#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// Takes `sister-company: WHY` (also parent and subsidiary), `federal: WHY` and `vehicle: WHY` (motor vehicle air
/// conditioning, recycled under section 609), and returns the text as it is. The list is from memory, to be confirmed
/// against the clause. Error (usage): ownership-exception.
Result<std::string> parse_ownership_exception(std::string_view text);

}  // namespace tarebook
