#include "tarebook/event/moment.hpp"

#include <date/tz.h>
#include <fmt/format.h>

#include <array>
#include <charconv>

namespace tarebook {
namespace {

using std::chrono::minutes;

const date::time_zone* zone_named(std::string_view name) {
    try {
        return date::locate_zone(std::string(name));
    } catch (const std::exception&) {
        return nullptr;
    }
}

tl::unexpected<Error> unknown_zone(std::string_view zone) {
    return usage("time-zone", "no such time zone on this machine", std::string(zone),
                 "an IANA name such as America/Chicago, or UTC");
}

// Reads `n` digits; -1 where there are fewer.
int digits(std::string_view& s, std::size_t n) {
    if (s.size() < n) return -1;
    int v = 0;
    for (std::size_t i = 0; i < n; ++i) {
        if (s[i] < '0' || s[i] > '9') return -1;
        v = v * 10 + (s[i] - '0');
    }
    s.remove_prefix(n);
    return v;
}
bool eat(std::string_view& s, char c) {
    if (!s.starts_with(c)) return false;
    s.remove_prefix(1);
    return true;
}

std::optional<Date> take_date(std::string_view& s) {
    auto rest = s;
    const int y = digits(rest, 4);
    if (y < 1900 || !eat(rest, '-')) return std::nullopt;
    const int m = digits(rest, 2);
    if (m < 0 || !eat(rest, '-')) return std::nullopt;
    const int d = digits(rest, 2);
    if (d < 0) return std::nullopt;
    const std::chrono::year_month_day ymd{std::chrono::year(y), std::chrono::month(static_cast<unsigned>(m)),
                                          std::chrono::day(static_cast<unsigned>(d))};
    if (!ymd.ok()) return std::nullopt;  // the form is right and there is no such day: 2026-02-30
    s = rest;
    return Date(ymd);
}

std::string offset_text(minutes offset) {
    const auto n = offset.count() < 0 ? -offset.count() : offset.count();
    return fmt::format("{}{:02}:{:02}", offset.count() < 0 ? '-' : '+', n / 60, n % 60);
}

}  // namespace

Result<Moment> moment_in_zone(Instant at, std::string_view zone) {
    if (zone.empty() || zone == "UTC") return Moment{at, minutes(0), "UTC"};
    const auto* z = zone_named(zone);
    if (!z) return unknown_zone(zone);
    return Moment{at, std::chrono::duration_cast<minutes>(z->get_info(at).offset), std::string(zone)};
}

namespace {
constexpr const char* moment_forms =
    "2026-11-25 14:30, 14:30 or 4pm (today), yesterday 14:30, or 2026-11-25T14:30-06:00";

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// Takes am or pm, in any case and after blanks; true for pm.
std::optional<bool> half_of_day(std::string_view& s) {
    auto rest = s;
    while (eat(rest, ' ')) {
    }
    for (const auto& [words, pm] : {std::pair(std::array{"am", "AM", "Am"}, false), {{"pm", "PM", "Pm"}, true}})
        for (const std::string_view word : words)
            if (rest.starts_with(word)) {
                s = rest.substr(word.size());
                return pm;
            }
    return std::nullopt;
}

// Takes a time of day: 14:30, 9:05, 14:30:05, 4pm, 4:30 pm. What is wrong with it is a text for people.
struct TimeOfDay {
    std::chrono::seconds at{};
    const char* wrong = nullptr;
};
TimeOfDay take_time_of_day(std::string_view& rest) {
    const std::size_t width = rest.size() > 1 && is_digit(rest[1]) ? 2 : 1;
    int h = digits(rest, width);
    const bool has_minutes = h >= 0 && eat(rest, ':');
    const int m = has_minutes ? digits(rest, 2) : 0;
    int s = 0;
    if (h < 0 || h > 23 || m < 0 || m > 59) return {{}, "cannot read the time of day"};
    if (has_minutes && eat(rest, ':')) s = digits(rest, 2);
    if (s < 0 || s > 59) return {{}, "cannot read the seconds"};
    if (const auto pm = half_of_day(rest)) {
        if (h < 1 || h > 12) return {{}, "an hour with am or pm is one of 1 to 12"};
        h = h % 12 + (*pm ? 12 : 0);
    } else if (!has_minutes) {
        return {{}, "cannot read the time of day"};
    }
    return {std::chrono::hours(h) + minutes(m) + std::chrono::seconds(s)};
}

// Takes the day before the time of day; a time alone is one of today.
std::optional<Date> day_typed(std::string_view& rest, Date today) {
    for (const auto& [word, day] : {std::pair("today ", today), std::pair("yesterday ", today - std::chrono::days(1))})
        if (rest.starts_with(word)) {
            rest.remove_prefix(std::string_view(word).size());
            return day;
        }
    return is_time_alone(rest) ? std::optional(today) : std::nullopt;
}

Result<Moment> understood(std::string_view text, std::string_view zone, Instant now) {
    const std::string typed(text);
    auto refuse = [&](std::string why) { return usage("time-format", std::move(why), typed, moment_forms); };
    auto rest = text;
    auto day = take_date(rest);
    if (day) {
        if (!eat(rest, ' ') && !eat(rest, 'T')) return refuse("a time of day is missing, or the date cannot be read");
    } else {
        if (rest.size() > 5 && rest.find('-') == 4) return refuse("there is no such day");
        auto here = moment_in_zone(now, zone);
        if (!here) return here;
        day = day_typed(rest, here->date());
        if (!day) return refuse("cannot read the day");
    }
    const auto time = take_time_of_day(rest);
    if (time.wrong) return refuse(time.wrong);
    const auto local = *day + time.at;
    if (rest == "Z") return moment_in_zone(Instant(local.time_since_epoch()), zone);
    if (!rest.empty()) {
        const bool negative = rest.front() == '-';
        if (!negative && rest.front() != '+') return refuse("something follows the time");
        rest.remove_prefix(1);
        const int oh = digits(rest, 2);
        eat(rest, ':');
        const int om = digits(rest, 2);
        if (oh < 0 || oh > 14 || om < 0 || om > 59 || !rest.empty()) return refuse("cannot read the offset from UTC");
        const minutes offset = minutes((negative ? -1 : 1) * (oh * 60 + om));
        const auto at = Instant(local.time_since_epoch()) - offset;
        // The offset decides the instant; local day and year follow the clock of the zone. Without a zone, the typed
        // offset is that clock.
        if (zone.empty() || zone == "UTC") return Moment{at, offset, "UTC"};
        return moment_in_zone(at, zone);
    }
    if (zone.empty() || zone == "UTC") return Moment{Instant(local.time_since_epoch()), minutes(0), "UTC"};
    const auto* z = zone_named(zone);
    if (!z) return unknown_zone(zone);
    const auto info = z->get_info(date::local_seconds(local.time_since_epoch()));
    if (info.result == date::local_info::ambiguous)
        return usage("time-ambiguous", "the clocks went back: that local time came twice", typed,
                     fmt::format("the time with its offset: {0}{1} (first) or {0}{2} (second)", typed,
                                 offset_text(std::chrono::duration_cast<minutes>(info.first.offset)),
                                 offset_text(std::chrono::duration_cast<minutes>(info.second.offset))));
    if (info.result == date::local_info::nonexistent)
        return usage("time-nonexistent", "the clocks went forward: that local time did not exist", typed,
                     fmt::format("a time before or after the change in {}", zone));
    const auto offset = std::chrono::duration_cast<minutes>(info.first.offset);
    return Moment{Instant(local.time_since_epoch()) - offset, offset, std::string(zone)};
}
}  // namespace

bool is_time_alone(std::string_view text) {
    std::size_t width = 0;
    while (width < text.size() && is_digit(text[width])) ++width;
    if (width < 1 || width > 2) return false;
    auto rest = text.substr(width);
    return rest.starts_with(':') || half_of_day(rest);
}

Result<Moment> parse_moment(std::string_view text, std::string_view zone, Instant now) {
    auto when = understood(text, zone, now);
    if (!when) return when;
    // An offset can move a moment into another year. Precondition of an event: its year has four digits and is 1900 or
    // later, else it cannot be read back.
    using namespace std::chrono_literals;
    if (when->date() < Date(1901y / 1 / 1) || when->date() > Date(9998y / 12 / 31))
        return usage("time-format", "the book holds the years 1901 to 9998", std::string(text), moment_forms);
    return when;
}

Result<Date> parse_date(std::string_view text) {
    auto rest = text;
    const auto day = take_date(rest);
    if (!day || !rest.empty())
        return usage("date-format", "cannot read a date", std::string(text), "a day such as 2026-11-25");
    return *day;
}

Result<std::chrono::year_month> parse_month(std::string_view text) {
    auto rest = text;
    const int y = digits(rest, 4);
    const bool dash = eat(rest, '-');
    const int m = digits(rest, 2);
    const std::chrono::year_month ym{std::chrono::year(y), std::chrono::month(static_cast<unsigned>(m < 0 ? 0 : m))};
    if (y < 1900 || !dash || m < 0 || !rest.empty() || !ym.ok())
        return usage("month-format", "cannot read a month", std::string(text), "2024-06, as the collar shows it");
    return ym;
}

namespace {

// Writes `width` digits. Written by hand because it runs for every event that is read or written.
void put(std::string& out, std::int64_t value, int width) {
    char text[4];
    for (int i = width; i-- > 0; value /= 10) text[i] = static_cast<char>('0' + value % 10);
    out.append(text, static_cast<std::size_t>(width));
}
void put_date(std::string& out, Date date) {
    const std::chrono::year_month_day d(date);
    put(out, static_cast<int>(d.year()), 4), out += '-';
    put(out, static_cast<unsigned>(d.month()), 2), out += '-';
    put(out, static_cast<unsigned>(d.day()), 2);
}
std::string clock_text(Instant local, char separator, bool seconds) {
    const auto day = std::chrono::floor<std::chrono::days>(local);
    const auto s = (local - day).count();
    std::string out;
    out.reserve(28);
    put_date(out, day), out += separator;
    put(out, s / 3600, 2), out += ':', put(out, s / 60 % 60, 2);
    if (seconds) out += ':', put(out, s % 60, 2);
    return out;
}

}  // namespace

std::string date_text(Date date) {
    std::string out;
    put_date(out, date);
    return out;
}

std::string instant_text(Instant at) {
    return clock_text(at, 'T', true) + "Z";
}
std::string moment_text(const Moment& when) {
    return clock_text(when.at + when.offset, ' ', false);
}
std::string moment_iso(const Moment& when) {
    return clock_text(when.at + when.offset, 'T', true) + offset_text(when.offset);
}

std::optional<Instant> instant_from_text(std::string_view text) {
    if (text.size() != 20 || text.back() != 'Z') return std::nullopt;
    auto rest = text;
    const auto day = take_date(rest);
    if (!day || !eat(rest, 'T')) return std::nullopt;
    const int h = digits(rest, 2);
    const bool c1 = eat(rest, ':');
    const int m = digits(rest, 2);
    const bool c2 = eat(rest, ':');
    const int s = digits(rest, 2);
    if (h < 0 || h > 23 || m < 0 || m > 59 || s < 0 || s > 59 || !c1 || !c2 || rest != "Z") return std::nullopt;
    return *day + std::chrono::hours(h) + minutes(m) + std::chrono::seconds(s);
}

}  // namespace tarebook
