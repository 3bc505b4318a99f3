// The people of whom a book has a code: names, technicians, who typed, and which names were removed.
#pragma once

#include "tarebook/report/report.hpp"

namespace tarebook {

/// All of them, by name; those without one at the end.
Page people_page(const Book& book, const PageOptions& options);

}  // namespace tarebook
