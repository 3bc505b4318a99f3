#include <fmt/format.h>

#include "tarebook/rules/rule_terms.hpp"

namespace tarebook {

std::string Period::text() const {
    static constexpr std::string_view words[] = {"day", "month", "year"};
    return fmt::format("{} {}{}", count, words[static_cast<std::size_t>(unit)], count == 1 ? "" : "s");
}

Date after(Date start, Period period) {
    if (period.unit == Period::Unit::day) return start + std::chrono::days(period.count);
    const int months = period.unit == Period::Unit::year ? period.count * 12 : period.count;
    const std::chrono::year_month_day day(start);
    const auto month = day.year() / day.month() + std::chrono::months(months);
    const std::chrono::year_month_day_last last(month.year(), std::chrono::month_day_last(month.month()));
    return std::chrono::sys_days(month / std::min(day.day(), last.day()));
}

std::string terms::RepairDeadline::longer_text() const {
    std::string out;
    if (within_if_shutdown) out += fmt::format("; {} where {}", within_if_shutdown->text(), longer_if);
    if (longest) out += fmt::format("; {} only where {}", longest->text(), longest_if);
    return out;
}

}  // namespace tarebook
