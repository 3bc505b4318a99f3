// When something happened: the UTC instant, and the local clock that the person looked at, frozen with the event so
// that a later change of time-zone data cannot move it into another day or year.
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// A point in time, in UTC, to the second.
using Instant = std::chrono::sys_seconds;
using Date = std::chrono::sys_days;  ///< a local calendar day, not an instant

/// An instant with the local clock of its place.
struct Moment {
    Instant at{};
    std::chrono::minutes offset{};  ///< local time minus UTC, as it was in force
    std::string zone;               ///< IANA name; "UTC" where none was given

    /// The local day.
    [[nodiscard]] Date date() const { return std::chrono::floor<std::chrono::days>(at + offset); }
    friend bool operator==(const Moment&, const Moment&) = default;
};

/// The wall clock of `zone` at `at`; an empty zone is UTC. Error (usage): time-zone.
Result<Moment> moment_in_zone(Instant at, std::string_view zone);

/// Takes `2026-11-25 14:30`, `2026-11-25T14:30:05`, `14:30` or `today 14:30` (in `zone`), `yesterday 14:30`, each also
/// as `4pm` or `4:30 PM`, and with an optional `Z` or `-06:00`. An offset or `Z` fixes the instant; the local day is
/// that of `zone`, or of the offset where there is no zone. Errors (usage): time-format (also outside of 1901 to 9998),
/// time-zone, time-ambiguous (a local time that came twice; both offsets are in the error), time-nonexistent (one that
/// the clock skipped).
Result<Moment> parse_moment(std::string_view text, std::string_view zone, Instant now);

/// Whether a text begins as a time of day without its day: `14:30`, `4pm`.
bool is_time_alone(std::string_view text);

/// Takes `2026-11-25`, from 1900 on. Error (usage): date-format.
Result<Date> parse_date(std::string_view text);
/// Takes `2024-06` (a collar shows month and year), from 1900 on. Error (usage): month-format.
Result<std::chrono::year_month> parse_month(std::string_view text);

std::string date_text(Date date);             ///< 2026-11-25
std::string instant_text(Instant at);         ///< 2026-11-25T20:30:00Z
std::string moment_text(const Moment& when);  ///< 2026-11-25 14:30, the local clock
/// 2026-11-25T14:30:00-06:00, the local clock with its offset: for JSON.
std::string moment_iso(const Moment& when);
/// Takes what instant_text writes, from 1900 on; nothing for any other text.
std::optional<Instant> instant_from_text(std::string_view text);

}  // namespace tarebook
