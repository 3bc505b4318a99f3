// In which country a site stands, a cylinder is filled, or a shop works: it decides which rule packs speak.
//
//     parse_country("de").value()             // "DE"
//     country_of_zone("Europe/Berlin")        // "DE", a proposal: a person says whether it holds
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// Takes a code of ISO 3166-1 alpha-2, in either case, and returns it in upper case. Error (usage): country-unknown,
/// with the nearest code.
Result<std::string> parse_country(std::string_view typed);
/// The short English name: "Germany". Empty for a code that is not in ISO 3166-1.
std::string country_name(std::string_view code);
/// Code and name for people: "DE (Germany)"; the code alone if it has no name.
std::string country_text(std::string_view code);

/// The code of the zone's country, by the table of this machine's time zone database (zone.tab). Nothing where the zone
/// has no country (UTC) or is an old name, or where the machine has no such table.
std::optional<std::string> country_of_zone(std::string_view zone);

}  // namespace tarebook
