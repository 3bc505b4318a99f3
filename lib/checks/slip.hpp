// A slip of the hand that would explain why a weight does not meet the book. Precondition: there is a gap; a weight
// without one is not suspected.
#pragma once

#include <string>

#include "context.hpp"

namespace tarebook::checks {

/// "digits swapped?", "kg typed as lb?", "lb typed as kg?", or empty.
std::string slip_that_explains(const Gap& gap, const Context& c);

/// The weight that the gap's reading would be with two neighbouring digits swapped, where a scale of this division
/// shows it and it meets the book to one division.
std::optional<Mass> meant_by_swapped_digits(const Gap& gap, const Context& c, Mass division);

}  // namespace tarebook::checks
