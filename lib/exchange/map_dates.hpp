// Days and times as a person's file writes them, by a pattern that the mapping gives: MM/DD/YYYY, DD.MM.YYYY hh:mm.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// What a pattern finds in a cell. A part that the pattern lacks is absent.
struct DayParts {
    int year = 0, month = 0;
    std::optional<int> day;
    std::optional<std::string> time;  ///< "14:30" or "14:30:05"
};

/// YYYY or YY (2000 to 2099, because whoever writes YY says so), MM, DD, hh, mm, ss, and whatever stands between.
class DayPattern {
 public:
    /// Error: map-dates, where it lacks a year or month, has one twice, or two numbers stand without anything between.
    static Result<DayPattern> read(const std::string& text);
    [[nodiscard]] const std::string& text() const { return text_; }
    /// MM and DD may be one digit; all others have as many as the pattern. Error: date-format.
    [[nodiscard]] Result<DayParts> take(std::string_view cell) const;

 private:
    std::string text_;
};

/// `14:30`, `7:05`, `14:30:05`, `2:30 PM`, as 14:30 or 14:30:05. Error: time-format.
Result<std::string> clock_time(std::string_view cell);

}  // namespace tarebook
