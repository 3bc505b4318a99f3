// The first screen of a folder of pages: what is late, what is over or missing, and what is where.
#pragma once

#include <string>

#include "day_lines.hpp"
#include "document.hpp"

namespace tarebook::report {

/// "4 LATE, oldest 162 days; 1 cylinder OVER; 2 exceptions", from the lines of the day.
std::string morning_answer(const std::vector<DayLine>& lines);
/// What is late, then what is over, leaking, lost or barred, each with its page behind its code; then what is where.
Document morning(const Book& book, const std::vector<DayLine>& lines, const DayQuestion& question,
                 const PageOptions& options);

}  // namespace tarebook::report
