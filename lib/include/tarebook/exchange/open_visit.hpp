// A visit that is open: one presence of a person at a site, for a job. It is no part of the chain: it is kept in a file
// beside the book, for one login on one device, so that commands can take the job, the person and the scale from it. It
// survives a reboot. At most two are open, of different jobs; one of them is the current one.
//
//     open_visit(book, {"ana", "truck-2"}, visit).value();
//     if (const auto visits = open_visits(book, who); !visits.empty()) ... visits.front() is the current one
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "tarebook/event/moment.hpp"

namespace tarebook {

/// Whose visits: a login and a device, as the machine names them.
struct Visitor {
    std::string login, device;
};

/// A visit as it was opened.
struct OpenVisit {
    std::string site, job;
    std::optional<std::string> by, with, scale;  ///< with: a second person
    std::optional<std::string> place;            ///< of the cylinders that are at hand: "truck-2"
    Moment opened;                               ///< on the clock of the site
    std::vector<std::string> cautions = {};      ///< those that were shown in full: "oil R-448A"
};

/// The most that one person has open.
inline constexpr std::size_t most_open_visits = 2;

/// The open visits, the current one first. A file that cannot be read is as good as none.
std::vector<OpenVisit> open_visits(const std::filesystem::path& book, const Visitor& who);
/// Opens one, which is the current one then. Errors (refused): visit-open (one of that job is open), visits-full.
/// Throws StorageError.
Result<void> open_visit(const std::filesystem::path& book, const Visitor& who, const OpenVisit& visit);
/// Makes the open visit of this job the current one. Error (refused): visit-unknown. Throws StorageError.
Result<void> switch_visit(const std::filesystem::path& book, const Visitor& who, const std::string& job);
/// Keeps that these cautions were shown in full, if the visit of this job is open. Throws StorageError.
void keep_cautions(const std::filesystem::path& book, const Visitor& who, const std::string& job,
                   const std::vector<std::string>& cautions);
/// Ends the visit of this job, if it is open.
void end_visit(const std::filesystem::path& book, const Visitor& who, const std::string& job);

/// Why a person has to say first that a visit still goes on: "was opened at 2026-06-07 07:40, which is another day".
/// Empty on the same local day, within twelve hours.
std::string why_not_still_on(const OpenVisit& visit, Instant now);

}  // namespace tarebook
