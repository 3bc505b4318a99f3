// Reads one line of a sheet.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "job_sheet_fields.hpp"
#include "tarebook/exchange/job_sheet.hpp"

namespace tarebook::exchange {

/// What the head of the sheet sets for each of its lines.
struct SheetHead {
    std::string id, site, zone, day;
    std::optional<std::string> job, by, scale;
};

/// Reads a line. Its moment is that of the line before if it gives none; `when` gets it for the next line. Problems go
/// to those that `fields` was made with. The own id and the sheet's notes are added later.
SheetLine read_sheet_line(SheetFields& fields, const SheetHead& head, const SheetBook& book, Instant now,
                          std::optional<Moment>& when);

/// A circuit that is not of the site of the sheet.
Error circuit_elsewhere(const std::string& typed, const std::string& site);

/// "14:30" on the sheet's day, or a whole moment, in the site's zone.
Result<Moment> sheet_moment(const std::string& typed, const SheetHead& head, Instant now);

}  // namespace tarebook::exchange
