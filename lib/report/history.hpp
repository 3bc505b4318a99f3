// The history of an appliance as the clocks want it, from what the book has of it.
#pragma once

#include "leak_rates.hpp"

namespace tarebook::report {

ApplianceHistory history_of(const Book& book, const Entry& appliance, const LeakRecord& record);

}  // namespace tarebook::report
