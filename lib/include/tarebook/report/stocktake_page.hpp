// The pages of a count: the sheet to go round with, and what came of it.
#pragma once

#include "tarebook/book/stocktakes.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook {

/// The sheet to go round with: what is still to be weighed, with blanks to fill in; what the book expects, unless the
/// count is blind. As CSV it is what `count read` takes.
Page stocktake_sheet_page(const Book& book, const KnownStocktake& count, const PageOptions& options);

/// What came of a count: cylinder by cylinder, scales that are off, gaps per refrigerant, and what was not counted. Of
/// a blind count that is open, only how far it came.
Page stocktake_page(const Book& book, const KnownStocktake& count, const PageOptions& options);

/// For people: "12 of 40 counted", and of a count that is not blind what the judge says of this cylinder so far.
std::string stocktake_progress(const Book& book, const KnownStocktake& count, std::string_view cylinder,
                               const PageOptions& options);

}  // namespace tarebook
