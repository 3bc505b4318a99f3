// The balances of a year as tables for a browser and a printer: too wide for a terminal, which gets them line by line.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "columns.hpp"
#include "document.hpp"
#include "shared_text.hpp"
#include "year_view.hpp"

namespace tarebook::report {

/// Per gas and owner, to reclaimers and in exchange: awaited at the start + sent = stated + not refrigerant +
/// difference + awaited at the end.
using Reclaimed = std::pair<const StockKey, ReclaimLine>;
const Columns<Reclaimed>& reclaim_columns();
/// The rows of a balance with those of one owner together.
template <class Rows>
std::vector<typename Rows::const_pointer> by_owner(const Rows& rows) {
    std::vector<typename Rows::const_pointer> out;
    for (const auto& row : rows) out.push_back(&row);
    std::stable_sort(out.begin(), out.end(), [](const auto* a, const auto* b) {
        return owner_text(a->first.refrigerant, a->first.owner) < owner_text(b->first.refrigerant, b->first.owner);
    });
    return out;
}
/// What went into equipment, by owner, gas and site.
Table equipment_table(const YearView& view, DisplayUnits units);
/// What was lost, by owner, gas and place. `sums`: with those of each gas and of all, which a spreadsheet makes itself.
enum class LossSums { shown, left_out };
Table losses_table(const YearView& view, const GwpSets& sets, DisplayUnits units, LossSums sums = LossSums::shown);
/// A sentence that names what the column of this heading is, with a blank behind it; empty where there is no column.
std::string unknown_before_text(const YearView& view, DisplayUnits units);
inline constexpr std::string_view unknown_before_heading = "charge before unknown";
inline constexpr std::string_view stock_title = "Gas in cylinders, by whose it is";
inline constexpr std::string_view sent_title = "Sent away, and what reclaimers' statements said";
inline constexpr std::string_view equipment_title = "Into equipment (taken out: with a minus)";
inline constexpr std::string_view loss_title = "Lost, by the balances of EPA's guidance (equations from memory)";
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
Document year_tables(const YearView& view, DisplayUnits units, LossSums sums = LossSums::shown);

/// The first `words` columns are words, the others figures; those of `summed` have a sum below them.
Table table_of(const std::vector<std::string>& headings, std::size_t words, std::vector<std::vector<Cell>> rows = {},
               const std::vector<std::string>& summed = {});

}  // namespace tarebook::report
