// What the pages of a folder have in common: found once, and not by each page.
#pragma once

#include "clock_summary.hpp"
#include "equipment_movements.hpp"
#include "leak_log.hpp"

namespace tarebook::report {

/// The most clocks that the sheet of a visit or job shows.
inline constexpr std::size_t clocks_of_a_visit = 10;

/// What is open at an appliance: all of it, or in a folder the first ones.
struct OpenAt {
    std::vector<DueItem> first;
    std::int64_t count = 0;
};
OpenAt open_at(std::vector<Clock> clocks, Date day);

struct Gathered {
    ClockSummary clocks;
    LeakLog log;
    const EquipmentMovements* movements = nullptr;           ///< where many appliances are asked for
    std::multimap<std::int64_t, OpenFinding> findings = {};  ///< all open exceptions, by event

    /// What an appliance's page knows on the way and other pages ask for. Precondition: `record` is its record_of().
    void keep(const LeakRecord& record, const std::vector<Clock>& of_it, Date today) const;
    /// The first clocks of an appliance that are open on the day of the folder.
    [[nodiscard]] OpenAt open_at(const Book& book, const std::string& appliance, Date today) const;

    /// The leak record of an appliance, with all additions.
    [[nodiscard]] LeakRecord record_of(const Book& book, std::string_view appliance) const {
        return movements ? leak_record(book, appliance, movements->of(appliance), log)
                         : leak_record(book, appliance, last_day_of_all, log);
    }

    mutable std::map<std::string, OpenAt, std::less<>> open_by_appliance = {};
    /// Of appliances without a job that goes on behind the end of a year: of those, what a year knows by its end is
    /// what is known now.
    mutable std::map<std::string, std::map<std::chrono::year, AdditionCount>, std::less<>> additions_by_appliance = {};
};

}  // namespace tarebook::report
