#include "map_dates.hpp"

#include <fmt/format.h>

#include <array>
#include <chrono>

#include "movements_clock.hpp"

namespace tarebook {
namespace {

constexpr std::array<std::string_view, 7> tokens = {"YYYY", "YY", "MM", "DD", "hh", "mm", "ss"};

std::string_view token_at(std::string_view rest) {
    for (const auto token : tokens)
        if (rest.starts_with(token)) return token;
    return {};
}

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

}  // namespace

Result<DayPattern> DayPattern::read(const std::string& text) {
    const auto wrong = [&](std::string what) {
        return usage("map-dates", std::move(what), text,
                     "for example MM/DD/YYYY, DD.MM.YYYY, YYYY-MM-DD or MM/DD/YYYY hh:mm");
    };
    std::string seen;
    bool after_token = false;
    for (std::string_view rest = text; !rest.empty();) {
        const auto token = token_at(rest);
        if (token.empty()) {
            if ((rest[0] >= 'a' && rest[0] <= 'z') || (rest[0] >= 'A' && rest[0] <= 'Z') || is_digit(rest[0]))
                return wrong(fmt::format("the form of dates has \"{}\" in it", rest[0]));
            after_token = false;
            rest.remove_prefix(1);
            continue;
        }
        if (after_token) return wrong("two numbers have nothing between them");
        if (seen.find(token.substr(0, 2)) != std::string::npos) return wrong(fmt::format("{} is there twice", token));
        seen += token;
        after_token = true;
        rest.remove_prefix(token.size());
    }
    if (seen.find("YY") == std::string::npos || seen.find("MM") == std::string::npos)
        return wrong("the form of dates lacks the year or the month");
    if ((seen.find("hh") == std::string::npos) != (seen.find("mm") == std::string::npos))
        return wrong("hours and minutes go together");
    DayPattern out;
    out.text_ = text;
    return out;
}

Result<DayParts> DayPattern::take(std::string_view cell) const {
    const auto refuse = [&] {
        return usage("date-format", "cannot read a date", std::string(cell), text_,
                     "dates: in the mapping says how the file writes dates");
    };
    DayParts out;
    std::string clock;
    auto left = cell;
    for (std::string_view rest = text_; !rest.empty();) {
        const auto token = token_at(rest);
        if (token.empty()) {
            if (left.empty() || left[0] != rest[0]) return refuse();
            left.remove_prefix(1);
            rest.remove_prefix(1);
            continue;
        }
        std::size_t n = 0;
        while (n < left.size() && n < token.size() && is_digit(left[n])) ++n;
        const bool one_will_do = token == "MM" || token == "DD" || token == "hh";
        if (n == 0 || (n < token.size() && !one_will_do)) return refuse();
        int value = 0;
        for (std::size_t i = 0; i < n; ++i) value = value * 10 + (left[i] - '0');
        if (token == "YYYY") out.year = value;
        if (token == "YY") out.year = 2000 + value;
        if (token == "MM") out.month = value;
        if (token == "DD") out.day = value;
        if (token[0] == 'h' || token[0] == 'm' || token[0] == 's')
            clock += (clock.empty() ? "" : ":") + std::string(left.substr(0, n));
        left.remove_prefix(n);
        rest.remove_prefix(token.size());
    }
    if (!clock.empty()) {  // AM or PM may follow the time
        while (left.starts_with(' ')) left.remove_prefix(1);
        clock += left;
        left = {};
    }
    if (!left.empty()) return refuse();
    using namespace std::chrono;
    const auto day_of = static_cast<unsigned>(out.day.value_or(1));
    if (!year_month_day(year(out.year), month(static_cast<unsigned>(out.month)), day(day_of)).ok()) return refuse();
    if (!clock.empty()) {
        auto time = clock_time(clock);
        if (!time) return fail(time.error());
        out.time = std::move(*time);
    }
    return out;
}

Result<std::string> clock_time(std::string_view cell) {
    auto rest = cell;
    int half = 0;  // 1: before noon, 2: after
    const auto ends = [&](char first) {
        const auto n = rest.size();
        const bool m = n > 2 && (rest[n - 1] == 'M' || rest[n - 1] == 'm');
        return m && (rest[n - 2] == first || rest[n - 2] == static_cast<char>(first - 'A' + 'a'));
    };
    if (ends('A')) half = 1;
    if (ends('P')) half = 2;
    if (half != 0) {
        rest.remove_suffix(2);
        while (rest.ends_with(' ')) rest.remove_suffix(1);
    }
    auto time = read_time_of_day(rest);
    if (!time || !time->offset.empty() ||
        (half != 0 && (time->seconds < 3600 || time->seconds >= 13 * 3600)))  // there is no 0:30 PM and no 14:30 PM
        return usage("time-format", "cannot read the time of day", std::string(cell), "14:30, 14:30:05 or 2:30 PM");
    auto seconds = time->seconds;
    constexpr int noon = 12 * 3600;
    if (half == 1 && seconds >= noon) seconds -= noon;
    if (half == 2 && seconds < noon) seconds += noon;
    auto out = fmt::format("{:02}:{:02}", seconds / 3600, seconds / 60 % 60);
    if (seconds % 60 != 0) out += fmt::format(":{:02}", seconds % 60);
    return out;
}

}  // namespace tarebook
