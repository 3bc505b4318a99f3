// In which country a site stands, a cylinder is filled, or a shop works: whose rules are asked hangs on it.
//
//     parse_country("de").value()             // "DE"
//     country_of_zone("Europe/Berlin")        // "DE", a proposal: a person says whether it holds
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// A code of ISO 3166-1 alpha-2, in either case. Error (usage): country-unknown.
Result<std::string> parse_country(std::string_view typed);
/// "Germany"; empty where the code is none.
std::string country_name(std::string_view code);
/// "DE (Germany)"
std::string country_text(std::string_view code);

/// By the table of this machine's time zone database; nothing where the zone has no country (UTC), is an old name, or
/// the machine has no such table.
std::optional<std::string> country_of_zone(std::string_view zone);

}  // namespace tarebook
