// What one line of a sheet says happened.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "job_sheet_fields.hpp"
#include "tarebook/exchange/job_sheet.hpp"

namespace tarebook::exchange {

/// What the whole sheet says about each of its lines.
struct SheetHead {
    std::string id, site, zone, day;
    std::optional<std::string> job, by, scale;
};

/// Reads a line; its moment is that of the line before where it names none, and is left in `when` for the next. What
/// is wrong is added to the problems that `fields` was made with. The own id and the sheet's notes are not yet in it.
SheetLine read_sheet_line(SheetFields& fields, const SheetHead& head, const SheetBook& book, Instant now,
                          std::optional<Moment>& when);

/// The circuit that an event is about; empty where it is about none.
std::string circuit_of_line(const Event& event);

/// "14:30" on the sheet's day, or a whole moment, in the site's zone.
Result<Moment> sheet_moment(const std::string& typed, const SheetHead& head, Instant now);

}  // namespace tarebook::exchange
