// The balances of a year as tables for a browser and a printer: too wide for a terminal, which gets them line by line.
#pragma once

#include "document.hpp"
#include "year_view.hpp"

namespace tarebook::report {

/// Per gas and owner: awaited at the start + sent = stated + not refrigerant + difference + awaited at the end.
Table reclaim_table(const YearView& view, DisplayUnits units);
Document year_tables(const YearView& view, DisplayUnits units);

/// The first `words` columns are words, the others figures.
Table table_of(const std::vector<std::string>& headings, std::size_t words,
               const std::vector<std::vector<std::string>>& rows = {});

}  // namespace tarebook::report
