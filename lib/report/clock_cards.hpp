// Clocks for the pages that list them: what is late first, each with its fields and the command that closes it.
#pragma once

#include <string>
#include <vector>

#include "clock_text.hpp"

namespace tarebook::report {

/// "follow-up test of a repair"
std::string_view words_of_clock(ClockKind kind);
/// The command that records what is wanted; for what stands outside of the book, the one that says that it is done.
std::string next_of_clock(const Clock& clock);
/// How many days it is late on that day. Nothing for one that is not late, or that was closed.
std::optional<std::int64_t> days_late(const Clock& clock, Date on);

/// By their days: what is late longest comes first, what has no day last.
std::vector<ClockRow> by_day(const std::vector<ClockRow>& rows);

/// One line a clock, to be scanned: how late, day, what, and at what.
Table clocks_in_short(const std::vector<ClockRow>& rows);
/// A card a clock with all its fields.
Cards clock_cards(const std::vector<ClockRow>& rows);
/// "3 LATE, oldest 162 days". Empty where none is late.
std::string late_answer(const std::vector<ClockRow>& rows);

}  // namespace tarebook::report
