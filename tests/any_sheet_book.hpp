// Answers for a sheet that is read without a book: every site lies in UTC, and every scale reads pounds.
#pragma once

#include "tarebook/exchange/job_sheet.hpp"

namespace tarebook {

inline SheetBook any_sheet_book() {
    return {[](const std::string&) -> Result<std::string> { return "UTC"; },
            [](const std::string&, Instant) -> Result<ScaleReads> { return ScaleReads::lb; },
            [](const std::string&, Instant) { return true; }};
}

}  // namespace tarebook
