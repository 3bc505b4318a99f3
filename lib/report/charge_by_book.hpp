// What should be in an appliance by the book. An appliance is not weighed, so this is a figure of bookkeeping: it
// begins with an initial charge, or with the full charge that is on record, and counts what came in and out since. An
// addition that makes up for a leak is taken to bring the appliance back to its full charge.
#pragma once

#include <optional>
#include <string>

#include "leak_rates.hpp"

namespace tarebook::report {

struct ChargeByBook {
    Mass mass;
    std::string since;         ///< the event that it begins with: "E12"; empty: the full charge on record
    std::optional<Date> on;    ///< its day
    bool begins_full = false;  ///< with the full charge, and not with an initial charge
    Mass beyond;               ///< by how much that addition was more than the book missed
    Mass put_in, taken_out;    ///< after it; what went to the air is taken out
};
/// Nothing where neither an initial charge nor a full charge is on record.
std::optional<ChargeByBook> charge_by_book(const Book& book, const LeakRecord& record);

/// "by the book it holds 35.00 lb of a full charge of 40.00 lb (...)"
std::string charge_by_book_text(const ChargeByBook& expected, const std::optional<Mass>& full, DisplayUnits units);

}  // namespace tarebook::report
