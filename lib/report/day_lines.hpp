// The lines of the first screen of a day, for its own page and for the index of a folder of pages.
#pragma once

#include <string>
#include <vector>

#include "columns.hpp"
#include "tarebook/report/day_page.hpp"

namespace tarebook::report {

struct DayLine {
    std::string what, now, next;
    bool is_exception = false;
    std::string in_short = {};  ///< "4 LATE, oldest 162 days"; empty where it is not for a first line
};
std::vector<DayLine> day_lines(const Book& book, const DayQuestion& question, const PageOptions& options);
const Columns<DayLine>& day_columns();

}  // namespace tarebook::report
