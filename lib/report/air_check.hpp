// The lines of an air check that its page and the page after a recording share.
#pragma once

#include <string>

#include "tarebook/report/air_check_page.hpp"

namespace tarebook::report {

/// Figures, verdict in words, what to do next, and the cautions, each once.
std::string air_check_text(const AirCheckPage& page, const AirCheck& check, const PageOptions& options);

/// A recorded check, computed again with the present contents of the cylinder.
Result<AirCheckPage> air_check_of(const Book& book, const kinds::AirCheck& recorded);

}  // namespace tarebook::report
