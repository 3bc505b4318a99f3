// What of a visit moves no gas, for its sheet: who, when and where; what was isolated, pulled down, read, looked over
// and fitted; what is still due at the equipment it touched.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "document.hpp"
#include "due.hpp"
#include "json.hpp"

namespace tarebook::report {

struct Visit {
    struct Place {
        std::string site, name, address;
    };
    struct Person {
        std::string code, name, certificate;
    };
    std::vector<Place> places;
    std::vector<Person> people;
    std::optional<Moment> first, last;  ///< of its events
    std::vector<StoredEvent> isolated, vacuums, leak_work, fitted, notes, others;
    std::set<std::string> appliances;  ///< all that any event of the visit names
    std::vector<DueItem> due;          ///< open on the day of the page
};

/// `events` of one job, those that count. Events that move gas in or out of equipment are left to the caller.
Visit visit_of(const Book& book, const std::vector<StoredEvent>& events, Instant now);

/// Before the figures: where, when, who.
Document visit_head(const Visit& visit);
/// After them: everything else. Text of people is kept as they typed it.
Document visit_body(const Book& book, const Visit& visit, Instant now);
void add_visit_json(Json& page, const Book& book, const Visit& visit, Instant now);

}  // namespace tarebook::report
