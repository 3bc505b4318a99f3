// Working hours, kept as whole minutes.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// Takes `2.5`, `2.5h` or `2:30`, from a minute to a thousand hours; what is no whole minute is rounded to the nearest
/// one. Error (usage): hours.
Result<std::int64_t> parse_hours(std::string_view typed);
/// "2.5 h", with two decimals at most.
std::string hours_text(std::int64_t minutes);

}  // namespace tarebook
