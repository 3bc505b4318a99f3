// Sub-commands of `report` and `export` that are about a calendar year.
#pragma once

#include "session.hpp"

namespace tarebook::cli {

std::chrono::year year_typed(const std::string& text);
/// `report year` and `report retention`.
void add_report_year(CLI::App& report, Session& session);
void add_export_year(CLI::App& exported, Session& session);

}  // namespace tarebook::cli
