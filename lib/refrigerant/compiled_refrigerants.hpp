// The generated tables. compile_catalogue writes their definition into the build folder.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "tarebook/refrigerant/refrigerant.hpp"

namespace tarebook::catalogue {

extern const std::span<const Refrigerant> refrigerants;

/// A designation in the form in which names are compared: "448a" for R-448A, r448a and 448A. Empty if it is too long
/// for one.
std::string bare_designation(std::string_view as_typed);

}  // namespace tarebook::catalogue
