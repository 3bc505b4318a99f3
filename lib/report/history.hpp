// The history of an appliance for its clocks, from the events of the book.
#pragma once

#include "leak_rates.hpp"

namespace tarebook::report {

ApplianceHistory history_of(const Book& book, const Entry& appliance, const LeakRecord& record);

}  // namespace tarebook::report
