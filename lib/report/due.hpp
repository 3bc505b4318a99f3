// The clocks of a whole book: of its appliances, its cylinders and its returns to reclaimers.
#pragma once

#include <chrono>
#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/rules/clocks.hpp"

namespace tarebook::report {

struct DueItem {
    Clock clock;
    std::string owner;       ///< of the equipment or the cylinder; empty if it is not on record
    std::int64_t count = 1;  ///< how many statements of one receiver are awaited
};

struct DueList {
    std::vector<DueItem> items;   ///< open on the day, by due day; those without one last
    std::vector<DueItem> closed;  ///< that closed in the days before, as many as told_closed_for; each id once
    std::vector<const RulePack*> packs;
    SpokenRules spoken;
    std::int64_t cylinders_without_mark = 0;
    std::set<std::string> countries_without_pack;  ///< countries of sites for which there is no pack
};

/// How long a closed clock is told of: a calendar that is taken in four times a year hears of each.
inline constexpr std::chrono::days told_closed_for{100};

/// All clocks that are open on a day, with any due day. `kept`: the file in which a long search keeps its results;
/// empty for none.
DueList open_clocks(const Book& book, Date on, const std::filesystem::path& kept = {});
/// All clocks of an appliance, open and closed, with what events have resolved.
std::vector<Clock> clocks_of_appliance(const Book& book, std::string_view code, Date on);
/// The times for repairing the leaks of an appliance, for one addition over the threshold after another.
class RepairTimes {
 public:
    RepairTimes(const Book& book, std::string_view appliance, Date today);
    /// The clocks of an addition of that day, at most one for each pack: the clock that it opened, or that ran then; if
    /// a failed test reopened that clock, the last one. Each with what has closed or resolved it.
    [[nodiscard]] std::vector<Clock> of_addition(Date on) const;

 private:
    struct Repair {
        Clock walked, clock;  ///< as the history closes it; and with what a person resolved
    };
    std::vector<Repair> repairs_;  ///< pack by pack, each in order of time
};
/// A clock by its id, open or closed.
std::optional<DueItem> clock_named(const Book& book, std::string_view id, Date on);

}  // namespace tarebook::report
