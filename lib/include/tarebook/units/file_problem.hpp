// What is wrong in a file that a person handed in: each problem with its line, all of them in one run.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// One error and the line it is about.
struct FileProblem {
    std::string file;       ///< as it was named
    std::int64_t line = 0;  ///< from 1; 0 for a problem of the file as a whole
    std::string field;      ///< column or key; may be empty
    Error error;
};

/// The problems of one or more files.
struct FileProblems {
    std::vector<FileProblem> listed;  ///< the first thousand, by file and line
    std::size_t count = 0;            ///< all of them

    /// Counts the problem, and lists it where fewer than a thousand are listed.
    void add(FileProblem problem) {
        constexpr std::size_t most_listed = 1000;
        if (listed.size() < most_listed) listed.push_back(std::move(problem));
        ++count;
    }
    /// Whether no problem was added.
    [[nodiscard]] bool empty() const { return count == 0; }
};

}  // namespace tarebook
