// The id of a sheet: the key of its draft's file and of its lines' own ids.
#pragma once

#include <string>
#include <string_view>

namespace tarebook::exchange {

inline constexpr std::size_t longest_sheet_id = 64;

/// Letters, digits, - _ . and no name that means something else to a file system.
bool good_sheet_id(std::string_view id);
std::string own_id_of_line(const std::string& sheet, std::size_t number);

}  // namespace tarebook::exchange
