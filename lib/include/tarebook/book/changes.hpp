// What a reader of a whole book keeps, so that it learns later which events, steps and entries may be other ones now.
//
//     const BookMark mark = book.mark();                      // kept beside what was read
//     ... later, with the book as it is then:
//     const BookChanges changes = book.changes_since(mark, seen);
//     if (changes.all) ... else for (const auto id : changes.events) ...
//
// What is new is looked at as the book itself looks at what comes in: which events it makes judge again, and how far
// the states of their cylinders differ from those that were seen. So the answer is complete where the book is.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "tarebook/event/event.hpp"

namespace tarebook {

/// The place of an event in the total order, as numbers of one file.
struct PlaceInFile {
    std::int64_t at = 0, origin = 0, seq = 0;
    friend auto operator<=>(const PlaceInFile&, const PlaceInFile&) = default;
};

/// The place of an event.
PlaceInFile place_in_file(const OrderKey& order);

/// A step of a cylinder as a reader keeps it.
struct SeenStep {
    PlaceInFile place;
    std::int64_t event_id = 0;
    std::int64_t mark = 0;  ///< a hash of what the step did and of the state after it
};
/// A step as the book has it; good for as long as it is visited.
struct BookStep : SeenStep {
    OrderKey order;
    std::string_view cylinder;
    std::string_view state;  ///< packed
    Mass moved, gap;
};
/// The steps of a cylinder at a place and behind it that the reader kept, in total order.
using SeenSteps = std::function<std::vector<SeenStep>(std::string_view cylinder, const PlaceInFile& from)>;

/// How far a reader has read a book.
struct BookMark {
    std::string rests_on;  ///< what all figures hang on beside the events; where it differs, all may have changed
    std::vector<std::int64_t> last_ids;  ///< of the book's events and of each desk's: the highest number
    std::int64_t events = 0;             ///< how many there are
    Digest last{};                       ///< digest of the first of those
    Instant first_at{}, last_at{};       ///< when the first and the last event in the total order happened
    std::set<std::pair<std::int64_t, std::int64_t>>
        ineffective;  ///< events that do not count, each with its void; 0: by trust
};

/// What may be other than it was.
struct BookChanges {
    bool all = false;                                           ///< then the other fields are empty
    std::vector<std::int64_t> events;                           ///< in total order
    std::map<std::string, PlaceInFile, std::less<>> cylinders;  ///< from which place on their steps may differ
    std::set<std::pair<EntryKind, std::string>> entries;
};

}  // namespace tarebook
