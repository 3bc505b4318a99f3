// The first screen of the day: what is begun, late, over or missing, and the command that goes on with each.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "tarebook/report/report.hpp"
#include "tarebook/report/visit_page.hpp"

namespace tarebook {

/// What the book itself does not hold.
struct DayQuestion {
    /// An open visit.
    struct Visit {
        std::string site, job, people;
        Moment opened;
    };
    std::vector<Visit> visits = {};  ///< the current one first
    std::vector<BegunRecovery> begun = {};
    std::filesystem::path kept = {};  ///< as in DueQuestion
    bool syncs = false;               ///< this device has a folder for `sync`
};

/// One line each for: open visits and recoveries, cylinders over their limit or lost, exceptions by kind, what is late
/// or due soon, open repairs, awaited statements, gas that is not put back, stock under its level, what other books
/// sent last, what was not sent. It has exceptions where anything is late, over, lost, under its level or an exception.
Page day_page(const Book& book, const DayQuestion& question, const PageOptions& options);

}  // namespace tarebook
