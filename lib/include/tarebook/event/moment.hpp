// When something happened: the UTC instant, and the local clock that the person looked at, frozen with the event so
// that a later change of time-zone data cannot move it into another day or year.
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

using Instant = std::chrono::sys_seconds;
using Date = std::chrono::sys_days;  ///< a local calendar day, not an instant

struct Moment {
    Instant at{};
    std::chrono::minutes offset{};  ///< local time minus UTC, as it was in force
    std::string zone;               ///< IANA name; "UTC" where none was given

    [[nodiscard]] Date date() const { return std::chrono::floor<std::chrono::days>(at + offset); }
    friend bool operator==(const Moment&, const Moment&) = default;
};

/// The wall clock of `zone` at `at`. Error: time-zone.
Result<Moment> moment_in_zone(Instant at, std::string_view zone);

/// Takes `2026-11-25 14:30`, `2026-11-25T14:30:05`, `14:30` (today in `zone`), each with an optional `Z` or `-06:00`.
/// An offset or `Z` settles the instant; the local day is that of `zone`, or of the offset where there is no zone.
/// A local time that exists twice is refused with both offsets (time-ambiguous), one that does not exist is refused
/// (time-nonexistent). Others: time-format, time-zone.
Result<Moment> parse_moment(std::string_view text, std::string_view zone, Instant now);

/// Takes `2026-11-25`. Error: date-format.
Result<Date> parse_date(std::string_view text);
/// Takes `2024-06` (a collar shows month and year). Error: month-format.
Result<std::chrono::year_month> parse_month(std::string_view text);

std::string date_text(Date date);             ///< 2026-11-25
std::string instant_text(Instant at);         ///< 2026-11-25T20:30:00Z
std::string moment_text(const Moment& when);  ///< 2026-11-25 14:30, the local clock
/// 2026-11-25T14:30:00-06:00: for JSON.
std::string moment_iso(const Moment& when);
std::optional<Instant> instant_from_text(std::string_view text);  ///< only what instant_text writes

}  // namespace tarebook
