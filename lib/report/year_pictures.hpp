// Pictures of what changes through a year: the stock of each gas, and what was added month by month.
#pragma once

#include <chrono>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "additions.hpp"
#include "picture.hpp"
#include "tarebook/year/year.hpp"

namespace tarebook::report {

struct YearScope;

/// What cylinders held of one gas.
struct StockThroughYear {
    Mass at_start;
    std::map<Date, Mass> after;  ///< at the end of each day on which it changed
};

/// Follows the stock of a year, event by event.
class StockWatch {
 public:
    /// `scope` must outlive it: of the stock of others nothing is kept.
    StockWatch(const YearScope& scope, Date first, Date last) : scope_(scope), first_(first), last_(last) {}
    /// Precondition: called with the movements of every event, in total order.
    void see(Date day, const std::vector<YearMovement>& movements);
    /// By gas, those of which there was some in the year.
    [[nodiscard]] std::map<std::string, StockThroughYear> gases() const;
    /// The last day that the events tell of: the last of the year where the book goes on behind it.
    [[nodiscard]] Date until() const { return until_; }

 private:
    struct Gas {
        MassTotal now;
        StockThroughYear year;
        bool in_year = false;
    };
    const YearScope& scope_;
    Date first_, last_, until_ = first_;
    std::map<std::string, Gas, std::less<>> gases_;
};

/// One strip a gas, all on one scale, from the first day of the year to its last. Empty where there was no stock.
std::optional<Picture> stock_picture(const std::map<std::string, StockThroughYear>& gases, std::chrono::year year,
                                     Date until, DisplayUnits units);

/// One bar a month, from the first one with an addition to the last one; a year each where that are more than 24.
/// Empty for none.
std::optional<Picture> additions_by_month(const std::string& refrigerant, const std::vector<Addition>& additions,
                                          DisplayUnits units);

}  // namespace tarebook::report
