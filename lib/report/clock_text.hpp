// The texts of a clock, for the pages that show clocks.
#pragma once

#include "columns.hpp"
#include "document.hpp"
#include "due.hpp"

namespace tarebook::report {

std::string_view status_word(const Clock& clock);
std::string clause_of(const Clock& clock);
struct ClockRow {
    const Clock& clock;
    Date on;  ///< the day of the page
    std::string_view owner;
    std::int64_t count = 1;
};
/// Of clocks that outlive them.
std::vector<ClockRow> clock_rows(const std::vector<DueItem>& items, Date on);
/// The same on every page.
const Columns<ClockRow>& clock_columns();
/// Name and date.
const Columns<const RulePack*>& pack_columns();
/// "opened by E12 on 2026-03-14; 40 CFR 84.106(d), to confirm"
std::string clock_origin(const Clock& clock);
/// "repair due by 2026-04-10 (40 CFR 84.106(d), to confirm), since E5: LATE"; `besides` goes into the brackets. The
/// text names E5 unless E5 is among `sources`: the caller has printed those already.
std::string repair_text(const Clock& clock, std::string_view besides, const std::vector<std::string>& sources, Date on);
/// The end of every page with clocks.
Document clocks_footing(const SpokenRules& spoken);

}  // namespace tarebook::report
