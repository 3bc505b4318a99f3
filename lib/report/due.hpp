// The clocks of a whole book: of its appliances, its cylinders and its returns to reclaimers.
#pragma once

#include <chrono>
#include <filesystem>
#include <set>
#include <string>
#include <tuple>
#include <vector>

#include "equipment_movements.hpp"
#include "leak_rates.hpp"
#include "tarebook/book/book.hpp"
#include "tarebook/rules/clocks.hpp"

namespace tarebook::report {

struct DueItem {
    Clock clock;
    std::string owner;       ///< of the equipment or the cylinder; empty if it is not on record
    std::int64_t count = 1;  ///< how many statements of one receiver are awaited
};

/// What a look over all clocks rests on.
struct DueFooting {
    std::vector<const RulePack*> packs;
    SpokenRules spoken;
    std::int64_t cylinders_without_mark = 0;
    std::set<std::string> countries_without_pack;  ///< countries of sites for which there is no pack
};
struct DueList : DueFooting {
    std::vector<DueItem> items;   ///< open on the day, by due day; those without one last
    std::vector<DueItem> closed;  ///< that closed in the days before, as many as told_closed_for; each id once
};

/// Takes the clocks of a book one after the other, in no order.
class ClockSink {
 public:
    ClockSink() = default;
    ClockSink(const ClockSink&) = delete;
    ClockSink& operator=(const ClockSink&) = delete;
    virtual ~ClockSink() = default;
    virtual void open(DueItem&& item) = 0;
    virtual void closed_lately(DueItem&&) {}
    /// Of gas not put back a busy book has clocks by the hundred thousand: whether this one is counted without being
    /// made.
    virtual bool counts_put_back(std::string_view /*appliance*/) { return false; }
};

/// How long a closed clock is told of: a calendar that is taken in four times a year hears of each.
inline constexpr std::chrono::days told_closed_for{100};

/// Gives the clocks that are open on a day, with any due day, to `sink`. `kept`: the file in which a long search keeps
/// its results; empty for none. `movements`: those of the book, where the caller has them.
DueFooting each_open_clock(const Book& book, Date on, const std::filesystem::path& kept, ClockSink& sink,
                           const EquipmentMovements* movements = nullptr);
/// All of them, in memory.
DueList open_clocks(const Book& book, Date on, const std::filesystem::path& kept = {});
/// What orders clocks: their day, then what they are about.
using DueRank = std::tuple<Date, std::string_view, ClockKind, std::string_view, Date, std::string_view>;
DueRank due_rank(const Clock& clock);
/// The clocks of an appliance by the rules of a day, open and closed.
class ApplianceClocks {
 public:
    /// Precondition: `record` has all additions.
    ApplianceClocks(const Book& book, const LeakRecord& record, Date on);
    /// With what events have resolved, as they stand on that day.
    [[nodiscard]] std::vector<Clock> on(Date day) const;

 private:
    friend class RepairTimes;
    std::vector<Clock> walked_, resolved_;  ///< as the history closes them; and with what a person resolved
};
std::vector<Clock> clocks_of_appliance(const Book& book, std::string_view code, Date on);
/// The times for repairing the leaks of an appliance, for one addition over the threshold after another.
class RepairTimes {
 public:
    explicit RepairTimes(const ApplianceClocks& clocks);
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
