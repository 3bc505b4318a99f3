// What a recording on a server locks before it reads (engine.hpp, Hold): the cylinders that its events touch, by name,
// so that desks which work on different cylinders commit side by side; or the whole book, for all that reaches further.
#pragma once

#include <stdexcept>

#include "impl.hpp"

namespace tarebook {

/// Thrown where a recording reaches something that it has not locked.
struct BeyondHold : std::runtime_error {
    explicit BeyondHold(std::string named) : std::runtime_error("not locked: " + named), name(std::move(named)) {}
    std::string name;
};

/// What the drafts need. A file is held whole.
Hold hold_for(Book::Impl& book, const std::vector<Event>& drafts);
/// What events that are recorded already need to be judged again.
Hold hold_to_judge(Book::Impl& book, const std::vector<StoredEvent>& events);
/// Whether the open recording has locked the cylinder.
bool holds_cylinder(const Book::Impl& book, std::string_view code);
/// Throws BeyondHold if it has not.
void must_hold_cylinder(const Book::Impl& book, std::string_view code);
/// The number of the event with this number on the chain to which this person appends.
std::int64_t first_event_id(Book::Impl& book, std::int64_t seq);

}  // namespace tarebook
