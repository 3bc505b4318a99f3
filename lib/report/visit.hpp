// The parts of a visit that move no gas, for its sheet: who, when and where; what was isolated, pulled down, tested,
// read, inspected and fitted; what is still due at that equipment.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "document.hpp"
#include "due.hpp"
#include "json.hpp"
#include "service_work.hpp"
#include "tarebook/report/visit_page.hpp"

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
    ServiceWork service;
    std::set<std::string> appliances;  ///< those that any event of the visit names
    std::vector<DueItem> due;          ///< open on the day of the page; in a folder of pages the first ones
    std::int64_t due_count = 0;        ///< of all that are open
};

/// `events`: those of one job that count. Leaves out events that move gas in or out of equipment.
Visit visit_of(const Book& book, const std::vector<StoredEvent>& events, const PageOptions& options);

/// Whether the event belongs to that visit, of those of its job.
bool is_of_visit(const StoredEvent& stored, const VisitQuestion& question);

/// The part before the figures: where, when, who.
Document visit_head(const Visit& visit);
/// The part after the figures: all the rest. Texts of people are unchanged.
Document visit_body(const Book& book, const Visit& visit, Instant now);
void add_visit_json(Json& page, const Book& book, const Visit& visit, Instant now);

}  // namespace tarebook::report
