// What the pages of a folder have in common: found once, and not by each page.
#pragma once

#include "all_movements.hpp"
#include "clock_summary.hpp"
#include "leak_log.hpp"

namespace tarebook::report {

struct Gathered {
    ClockSummary clocks;
    LeakLog log;
    const AllMovements* movements = nullptr;  ///< where many appliances are asked for

    /// The leak record of an appliance, with all additions.
    [[nodiscard]] LeakRecord record_of(const Book& book, std::string_view appliance) const {
        return movements ? leak_record(book, appliance, movements->of(appliance), log)
                         : leak_record(book, appliance, last_day_of_all, log);
    }
};

}  // namespace tarebook::report
