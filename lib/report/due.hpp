// The clocks of a whole book: of its appliances, its cylinders and what went to reclaimers.
#pragma once

#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/rules/clocks.hpp"

namespace tarebook::report {

struct DueItem {
    Clock clock;
    std::string owner;       ///< of the equipment or the cylinder; empty where it is not on record
    std::int64_t count = 1;  ///< statements of one receiver that are awaited
};

struct DueList {
    std::vector<DueItem> items;  ///< open on the day, by due day; those without one last
    std::vector<const RulePack*> packs;
    SpokenRules spoken;
    std::int64_t cylinders_without_mark = 0;
    std::set<std::string> countries_without_pack;  ///< where sites stand
};

/// What is open on a day, whenever it is due. `kept`: where a long look may leave what it found; empty: nowhere.
DueList open_clocks(const Book& book, Date on, const std::filesystem::path& kept = {});
/// All clocks of an appliance, open and closed, with what an event has resolved.
std::vector<Clock> clocks_of_appliance(const Book& book, std::string_view code, Date on);
/// Until when the leaks of an appliance shall be repaired, for one addition over the threshold after another.
class RepairTimes {
 public:
    RepairTimes(const Book& book, std::string_view appliance, Date today);
    /// For an addition of that day, one a pack at most: the clock that it opened or that ran then, and where a failed
    /// test reopened that, the last of these; each with what has closed or resolved it.
    [[nodiscard]] std::vector<Clock> of_addition(Date on) const;

 private:
    struct Repair {
        Clock walked, clock;  ///< as the history closes it; and with what a person resolved
    };
    std::vector<Repair> repairs_;  ///< pack by pack, each in its order
};
/// A clock by its id, also one that is closed.
std::optional<DueItem> clock_named(const Book& book, std::string_view id, Date on);

}  // namespace tarebook::report
