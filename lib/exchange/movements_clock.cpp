#include "movements_clock.hpp"

#include <fmt/format.h>

namespace tarebook {
namespace {

// One or two digits below `limit`; -1 if there are none.
int take_two(std::string_view& s, int limit, bool one_will_do) {
    const auto digit = [&](std::size_t i) { return i < s.size() && s[i] >= '0' && s[i] <= '9'; };
    if (!digit(0)) return -1;
    const bool two = digit(1);
    if (!two && !one_will_do) return -1;
    const int value = two ? (s[0] - '0') * 10 + (s[1] - '0') : s[0] - '0';
    s.remove_prefix(two ? 2 : 1);
    return value < limit ? value : -1;
}

std::string clock_text(std::int32_t seconds) {
    return fmt::format("{:02}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60);
}

}  // namespace

Result<Date> DayReader::read(std::string_view text) {
    if (text == last_text_ && !last_text_.empty()) return last_;
    auto day = parse_date(text);
    if (!day) {
        day.error().next = "write year-month-day: 03/04 could be two days";
        return day;
    }
    last_text_ = text;
    last_ = *day;
    return day;
}

Result<TimeOfDay> read_time_of_day(std::string_view text) {
    const auto refuse = [&] {
        return usage("time-format", "cannot read the time of day", std::string(text),
                     "14:30 on the site's clock, or 14:30:05");
    };
    auto rest = text;
    const int hour = take_two(rest, 24, true);
    if (hour < 0 || !rest.starts_with(':')) return refuse();
    rest.remove_prefix(1);
    const int minute = take_two(rest, 60, false);
    if (minute < 0) return refuse();
    int second = 0;
    if (rest.starts_with(':')) {
        rest.remove_prefix(1);
        second = take_two(rest, 60, false);
        if (second < 0) return refuse();
    }
    if (!rest.empty() && rest != "Z" && rest.front() != '+' && rest.front() != '-') return refuse();
    return TimeOfDay{hour * 3600 + minute * 60 + second, rest};
}

Result<RowTime> LocalClock::at(Date day, const TimeOfDay& time) {
    if (!time.offset.empty()) return slowly(day, time);
    const std::int64_t local = std::chrono::sys_seconds(day).time_since_epoch().count() + time.seconds;
    const std::int64_t hour = local / 3600 - (local % 3600 < 0 ? 1 : 0);
    if (hour != last_hour_) {
        const auto [it, fresh] = offsets_.try_emplace(hour, not_one_offset);
        if (fresh) it->second = offset_of_hour(hour);
        last_hour_ = hour;
        last_offset_ = it->second;
    }
    if (last_offset_ == not_one_offset) return slowly(day, time);
    return RowTime{Instant(std::chrono::seconds(local)) - std::chrono::minutes(last_offset_), last_offset_};
}

// An hour has one offset if its first and its last second exist once and agree.
std::int16_t LocalClock::offset_of_hour(std::int64_t hour) const {
    const auto first = Instant(std::chrono::hours(hour));
    const auto day = std::chrono::floor<std::chrono::days>(first);
    const auto seconds = static_cast<std::int32_t>((first - day).count());
    const auto begins = slowly(day, {seconds, {}});
    const auto ends = slowly(day, {seconds + 3599, {}});
    if (!begins || !ends || begins->offset_min != ends->offset_min) return not_one_offset;
    return begins->offset_min;
}

Result<RowTime> LocalClock::slowly(Date day, const TimeOfDay& time) const {
    const auto when =
        parse_moment(fmt::format("{} {}{}", date_text(day), clock_text(time.seconds), time.offset), zone_, Instant());
    if (!when) return fail(when.error());
    return RowTime{when->at, static_cast<std::int16_t>(when->offset.count())};
}

}  // namespace tarebook
