// Local times of many rows as instants. The zone is asked once for each hour that occurs; hours in which its clocks
// change, and times with an offset, go to parse_moment one by one.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "tarebook/event/moment.hpp"

namespace tarebook {

/// Reads a local day as typed: `2026-11-25`. Error: date-format.
class DayReader {
 public:
    Result<Date> read(std::string_view text);

 private:
    std::string last_text_;
    Date last_{};
};

/// A time of day as typed: `14:30`, `7:05`, `14:30:05`; an offset or Z may follow.
struct TimeOfDay {
    std::int32_t seconds = 0;
    std::string_view offset;  ///< empty, or Z, or -06:00: not checked yet
};
/// Error: time-format.
Result<TimeOfDay> read_time_of_day(std::string_view text);

struct RowTime {
    Instant at{};
    std::int16_t offset_min = 0;
};

class LocalClock {
 public:
    explicit LocalClock(std::string zone) : zone_(std::move(zone)) {}
    [[nodiscard]] const std::string& zone() const { return zone_; }
    /// Errors: as parse_moment.
    Result<RowTime> at(Date day, const TimeOfDay& time);

 private:
    [[nodiscard]] Result<RowTime> slowly(Date day, const TimeOfDay& time) const;
    [[nodiscard]] std::int16_t offset_of_hour(std::int64_t hour) const;
    static constexpr std::int16_t not_one_offset = INT16_MAX;

    std::string zone_;
    std::unordered_map<std::int64_t, std::int16_t> offsets_;  // by hours since the epoch, on the local clock
    std::int64_t last_hour_ = INT64_MIN;
    std::int16_t last_offset_ = 0;
};

}  // namespace tarebook
