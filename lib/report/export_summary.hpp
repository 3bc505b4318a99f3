// The printable page of an export: one file, no script, all text escaped.
#pragma once

#include <string>

#include "export_tables.hpp"

namespace tarebook::report {

std::string export_summary(const Book& book, const YearView& view, const ExportWalk& walk, const ExportFigures& figures,
                           const AppliedRules& rules);

}  // namespace tarebook::report
