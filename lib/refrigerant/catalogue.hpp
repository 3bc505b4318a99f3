// The generated tables: compile_catalogue writes their definition into the build folder.
#pragma once

#include <deque>
#include <span>
#include <string>
#include <string_view>

#include "tarebook/refrigerant/refrigerant.hpp"

namespace tarebook::catalogue {

extern const std::span<const Refrigerant> refrigerants;

/// Those of a person's own file; none has a name that the catalogue knows.
std::deque<Refrigerant>& own_refrigerants();

/// A designation without what people leave out or write differently: "448a" for all of R-448A, r448a, 448A. Empty where
/// it is too long to be one.
std::string bare_designation(std::string_view as_typed);

}  // namespace tarebook::catalogue
