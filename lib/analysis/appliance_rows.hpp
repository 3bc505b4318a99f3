// Rows of the analysts' file that one appliance has: its additions with their leak rates, and its losses year by year.
// They are made of what moved into and out of it, which the file keeps by appliance: so a large book is never in
// memory, and an update need not read the events of years again.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <unordered_map>
#include <vector>

#include "event_rows.hpp"
#include "report/equipment_movements.hpp"
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
    /// In a file that is made: takes what an event moved.
    void take(const BookedEvent& e, const ReadEvent& read);
    /// Then: all appliances of the register, and those that gas went into or out of.
    void write_all();

    /// In an update: what a changed event moves now. `read`: null where it is in no table any more. Precondition:
    /// `appliances` has all that it ever moved gas at.
    void change(const Event& event, const std::set<std::string>& appliances, const BookedEvent* e,
                const ReadEvent* read);
    /// An appliance whose rows are all to be looked at, as what they rest on beside movements may be another.
    void change(const std::string& appliance) { changed_[appliance].all = true; }
    /// Then: the appliances that were named by then.
    void write_changed();
    void finish();

 private:
    struct Changed {
        bool all = false;                         // or what is of these days and jobs
        std::optional<Date> from;                 // the first of those days
        std::set<std::string, std::less<>> jobs;  // of events of those days, which may have earlier ones
    };
    struct Moved {
        YearMovement movement;  // of which equipment is in no posting any more: what the years need
        OrderKey order;
        Date on{};
    };
    void put_row(Table& table, const std::string& appliance, std::int64_t n, const BookedEvent& e,
                 const ReadEvent& read, const YearMovement& m);
    const std::string& appliance_at(std::string_view place);
    const std::string& kept(std::string_view text);
    void write(const std::string& appliance, const Changed& changed);
    void read_moved(const std::string& appliance);
    void write_additions(const std::string& appliance, const Changed& changed);
    void write_losses(const std::string& appliance, int from);

    const Book& book_;
    AnalystsDb& file_;
    Table moves_, additions_, losses_;
    std::optional<report::LeakLog> log_;
    const Years years_;
    std::vector<std::pair<Instant, Instant>> ends_;  // of each year, in the book's zone
    SiteOwners owners_;
    std::unordered_map<const char*, const std::string*> appliances_at_;  // by the address of the place's code
    std::set<std::string, std::less<>> texts_;                           // appliances and designations, each once
    std::set<std::string> moved_at_;
    std::map<std::string, Changed> changed_;
    // Of the appliance that is written:
    std::vector<report::KnownMovement> known_;
    std::vector<Moved> moved_;
};

}  // namespace tarebook::analysis
