// A year, or several at once, from one walk over the events of a book.
#pragma once

#include <deque>

#include "equipment_movements.hpp"
#include "year_reclaim.hpp"
#include "year_seal.hpp"
#include "year_view.hpp"

namespace tarebook::report {

class YearReading {
 public:
    YearReading(const Book& book, const YearScope& scope, std::chrono::year year,
                const std::vector<StoredEvent>& seals);
    YearReading(const YearReading&) = delete;
    YearReading& operator=(const YearReading&) = delete;
    /// Precondition: called for every event, in total order.
    void see(const BookedEvent& e, const YearEvent& event, const YearWords& words,
             const std::vector<YearMovement>& movements);
    /// The page of the year, after the last event.
    [[nodiscard]] Page page(const EquipmentMovements& movements, const LeakLog& log, const PageOptions& options);

 private:
    const Book& book_;
    YearScope scope_;
    YearSums sums_;
    SealWatch seal_;
    ReclaimWatch reclaim_;
    StockWatch stock_;
};

/// Shows every event to the years, and keeps what moved into and out of appliances. It must outlive their pages, which
/// view its words.
class YearWalk {
 public:
    YearWalk(const Book& book, std::deque<YearReading>& years);
    /// For the appliances alone.
    explicit YearWalk(const Book& book);
    EquipmentMovements equipment;

 private:
    void walk(const Book& book, std::deque<YearReading>& years);
    YearMovements year_movements_;
};

}  // namespace tarebook::report
