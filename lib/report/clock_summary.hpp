// The clocks of a book in short: how many are late, open on a day or without one, and the first of them. A book may
// have hundreds of thousands; a page for people shows the first ones, and CSV has each.
#pragma once

#include <algorithm>
#include <filesystem>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "due.hpp"

namespace tarebook::report {

struct LateCount {
    std::int64_t late = 0, oldest_days = 0;
    LateCount& operator+=(const LateCount& other) {
        late += other.late;
        oldest_days = std::max(oldest_days, other.oldest_days);
        return *this;
    }
    /// "3 LATE, oldest 162 days"; empty where none is late.
    [[nodiscard]] std::string text() const;
};

struct ClockSummary : DueFooting {
    Date on{};
    std::vector<DueItem> first;  ///< of those due until the last day that was asked for, in their order
    LateCount late;
    std::int64_t on_a_day = 0, without_day = 0;  ///< of those, too; not late
    std::optional<DueItem> oldest_late;
    std::int64_t soon = 0;  ///< within a week, not late
    std::int64_t repairs = 0;
    std::optional<DueItem> first_repair;
    std::int64_t statements_awaited = 0;
    std::optional<DueItem> first_sent;   ///< the return whose statement is awaited longest
    std::set<std::string> not_put_back;  ///< appliances
    std::map<std::string, LateCount, std::less<>> late_by_subject;

    [[nodiscard]] std::int64_t count() const { return late.late + on_a_day + without_day; }
};

struct ClocksAsked {
    Date on{};
    std::optional<Date> until = {};   ///< those that are due later are not counted among the first
    std::size_t most = 200;           ///< how many of them are kept, at least one
    std::filesystem::path kept = {};  ///< this and the next as in each_open_clock
    const EquipmentMovements* movements = nullptr;
};
ClockSummary clock_summary(const Book& book, const ClocksAsked& asked);

/// The most that one page for people shows.
inline constexpr std::size_t clocks_of_a_page = 200;

}  // namespace tarebook::report
