// Days and times in a person's file, read by a pattern of the mapping: MM/DD/YYYY, DD.MM.YYYY hh:mm.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// The parts of a cell. A part that the pattern lacks is absent.
struct DayParts {
    int year = 0, month = 0;
    std::optional<int> day;
    std::optional<std::string> time;  ///< "14:30" or "14:30:05"
};

/// YYYY or YY (2000 to 2099), MM, DD, hh, mm, ss, with any text between them.
class DayPattern {
 public:
    /// Error: map-dates, if it lacks a year or month, has one twice, or has two numbers without text between them.
    static Result<DayPattern> read(const std::string& text);
    [[nodiscard]] const std::string& text() const { return text_; }
    /// MM and DD may have one digit; the others have as many as the pattern. Error: date-format.
    [[nodiscard]] Result<DayParts> take(std::string_view cell) const;

 private:
    std::string text_;
};

/// `14:30`, `7:05`, `14:30:05`, `2:30 PM`, as 14:30 or 14:30:05. Error: time-format.
Result<std::string> clock_time(std::string_view cell);

}  // namespace tarebook
