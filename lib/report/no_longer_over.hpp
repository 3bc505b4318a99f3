// An exception tells of its event, and stands until it is resolved. Of a cylinder that was over its limit the pages say
// whether it still is: gas that is drawn makes the exception untrue, and a person who draws it seldom resolves it.
#pragma once

#include <string>
#include <vector>

#include "tarebook/book/book.hpp"

namespace tarebook::report {

/// The name of the event since which the cylinder of such an exception is not over its limit any more; empty where it
/// still is, where no limit is known, and for exceptions of other checks.
std::string no_longer_over_since(const Book& book, const OpenFinding& exception);

/// These exceptions, the dangerous ones first (see Danger), those of one danger in the order that they have. One that
/// is no longer over its limit is no danger any more.
std::vector<OpenFinding> by_danger(const Book& book, std::vector<OpenFinding> open);

}  // namespace tarebook::report
