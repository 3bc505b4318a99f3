// A slip of the hand that would explain why a weight does not meet the book. Said only to explain a gap that is there;
// a weight is never suspected for itself.
#pragma once

#include <string>

#include "context.hpp"

namespace tarebook::checks {

/// "digits swapped?", "kg typed as lb?", "lb typed as kg?", or nothing.
std::string slip_that_explains(const Gap& gap, const Context& c);

}  // namespace tarebook::checks
