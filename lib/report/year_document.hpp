// The balances of a year as tables for a browser and a printer: too wide for a terminal, which gets them line by line.
#pragma once

#include "columns.hpp"
#include "document.hpp"
#include "year_view.hpp"

namespace tarebook::report {

/// Per gas and owner, to reclaimers and in exchange: awaited at the start + sent = stated + not refrigerant +
/// difference + awaited at the end.
using Reclaimed = std::pair<const StockKey, ReclaimLine>;
const Columns<Reclaimed>& reclaim_columns();
/// What went into equipment, by gas, site and owner. `zeros`: of those terms, too, in which nothing moved.
Table equipment_table(const YearView& view, DisplayUnits units, bool zeros);
inline constexpr std::string_view sent_title = "Sent away, and what reclaimers' statements said";
/// Below the table of losses.
inline constexpr std::string_view loss_remark =
    "A loss below zero is shown as computed: look for a wrong weight or full charge.";
/// A sentence that names what stands pumped out at the end of the year, with a blank behind it; empty where nothing is.
std::string left_out_text(const YearView& view, DisplayUnits units);
/// A sentence that says how gas that was released from equipment stands to the loss of its site, with a blank behind
/// it; empty where nothing was released.
std::string released_text(const YearView& view, DisplayUnits units);
/// By id and date.
Json packs_json(const YearView& view);
Document year_tables(const YearView& view, DisplayUnits units);

/// The first `words` columns are words, the others figures.
Table table_of(const std::vector<std::string>& headings, std::size_t words,
               const std::vector<std::vector<std::string>>& rows = {});

}  // namespace tarebook::report
