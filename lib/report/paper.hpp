// What a page needs on paper: how small its tables are set, and what stands at the edges of each sheet.
#pragma once

#include <string>
#include <string_view>

#include "shown_table.hpp"

namespace tarebook::report {

/// The class by which the page's style sets a table on paper: by how wide it is with every word whole, and not by how
/// many columns it has. Empty where it fits a sheet of 180 mm as it is; else smaller letters, then a sheet sideways.
std::string_view paper_class(const ShownTable& table);
/// Whether the class is of a sheet sideways.
bool is_sideways(std::string_view paper_class);

/// CSS: the company and the title above every sheet, and its number below. In margin boxes of CSS Paged Media 3, which
/// Chromium draws from 131 on; a browser without them prints a title and numbers of its own.
std::string sheet_edges(std::string_view company, std::string_view title);

}  // namespace tarebook::report
