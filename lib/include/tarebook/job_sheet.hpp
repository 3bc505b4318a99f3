// A visit on one sheet (YAML): what a technician fills in, what the office records, all or nothing.
#pragma once

#include <string>
#include <string_view>

#include "tarebook/file_problem.hpp"
#include "tarebook/record.hpp"

namespace tarebook {

/// Reads a sheet and records it. `name` is the file's name, for problems. Every problem is listed in one run.
tl::expected<Recorded, FileProblems> record_job_sheet(Book& book, std::string_view text, const std::string& name,
                                                      Instant now);

/// A sheet to fill in for a site that is on record. Error: unknown-site.
Result<std::string> blank_job_sheet(const Book& book, std::string_view site);

}  // namespace tarebook
