// Rows of the analysts' file that one appliance has: its additions with their leak rates, and its losses year by year.
#pragma once

#include <memory>
#include <set>
#include <unordered_map>

#include "event_rows.hpp"
#include "report/leak_rates.hpp"
#include "table.hpp"
#include "tarebook/book/book.hpp"
#include "tarebook/year/year.hpp"

namespace tarebook::analysis {

/// The first and the last year of a book's events. An event may be of the next local day, so a year more may be there.
struct Years {
    int first = 1970, last = 1970;
    friend bool operator==(const Years&, const Years&) = default;
};
Years years_of(const BookMark& mark);

class ApplianceRows {
 public:
    ApplianceRows(const Book& book, AnalystsDb& file, const Years& years);
    /// Takes what an event moved; of one appliance, where `only` names it. Precondition: of an appliance that is
    /// written all events were taken before, in total order.
    void take(const BookedEvent& e, const ReadEvent& read, std::string_view only = {});
    /// All appliances of the register, and those that gas went into or out of.
    void write_all();
    void write(const std::set<std::string>& appliances);
    void finish();

 private:
    struct Moved {
        OrderKey order;
        Date on{};
        Mass mass;
        std::int64_t event = 0;
        std::uint32_t job = 0, leak = 0;  // 0: none
        Reason reason = Reason::leak;
        std::optional<Percent> destroyed;
    };
    struct Line {
        EquipmentKey key;
        YearLine line;
    };
    std::uint32_t number_of(std::string_view text);
    void write_additions(const std::string& appliance, const report::LeakLog& log);
    void write_losses(const std::string& appliance);
    void sort_lines();

    const Book& book_;
    Table additions_, losses_;
    int first_year_;
    std::vector<std::unique_ptr<YearSums>> years_;
    std::vector<std::pair<Instant, Instant>> ends_;                             // of each year, in the book's zone
    std::vector<std::map<std::string, std::vector<Line>, std::less<>>> lines_;  // by year, by appliance
    SiteOwners owners_;
    std::map<std::string, std::vector<Moved>, std::less<>> moved_;
    std::unordered_map<const char*, std::vector<Moved>*> moved_at_;  // by the address of the place's code
    std::vector<YearMovement> own_;                                  // of the event that is taken
    std::vector<std::string> texts_{""};
    ByCode<std::uint32_t> numbers_;
};

}  // namespace tarebook::analysis
