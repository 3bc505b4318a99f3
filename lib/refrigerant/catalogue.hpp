// The generated tables: compile_catalogue writes their definition into the build folder.
#pragma once

#include <span>

#include "tarebook/refrigerant.hpp"

namespace tarebook::catalogue {

extern const std::span<const Refrigerant> refrigerants;

}  // namespace tarebook::catalogue
