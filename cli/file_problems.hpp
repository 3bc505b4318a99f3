// What is wrong in a file that somebody gave us: each problem at its place, all of them, as text or as one JSON object.
#pragma once

#include "session.hpp"
#include "tarebook/units/file_problem.hpp"

namespace tarebook::cli {

/// What is said after the problems; any of them may be empty.
struct AfterProblems {
    std::string if_it_did_happen;  ///< shown where a check refused: how to record it for a reason
    std::string kept;              ///< where the file's text was kept
    std::string next;
};

/// Writes to stderr and gives the exit code: bad usage where any problem is, else refused.
[[nodiscard]] int tell_file_problems(const Session& session, const FileProblems& problems, const std::string& file,
                                     const AfterProblems& after);

}  // namespace tarebook::cli
