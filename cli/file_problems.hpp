// Shows the problems of a file that a person gave, each at its place, as text or as one JSON object.
#pragma once

#include "session.hpp"
#include "tarebook/units/file_problem.hpp"

namespace tarebook::cli {

/// Shown after the problems; each part may be empty.
struct AfterProblems {
    std::string if_it_did_happen;  ///< shown if a check refused: how to record it for a reason
    std::string kept;              ///< where the text of the file was kept
    std::string next;
};

/// Writes to stderr and returns the exit code: exit_usage if any problem is a usage error, else exit_refused.
[[nodiscard]] int tell_file_problems(const Session& session, const FileProblems& problems, const std::string& file,
                                     const AfterProblems& after);

}  // namespace tarebook::cli
