// What is wrong in a file that somebody gave us, each thing at its place, all of them in one run.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "tarebook/units/error.hpp"

namespace tarebook {

struct FileProblem {
    std::string file;       ///< as it was named
    std::int64_t line = 0;  ///< from 1; 0 where it is about the file as a whole
    std::string field;      ///< column or key; may be empty
    Error error;
};

struct FileProblems {
    std::vector<FileProblem> listed;  ///< the first thousand, by file and line
    std::size_t count = 0;            ///< all of them

    void add(FileProblem problem) {
        constexpr std::size_t most_listed = 1000;
        if (listed.size() < most_listed) listed.push_back(std::move(problem));
        ++count;
    }
    [[nodiscard]] bool empty() const { return count == 0; }
};

}  // namespace tarebook
