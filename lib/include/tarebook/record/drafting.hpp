// Drafts for record(), made of what a program knows: what happened, when, who did it, for which job.
//
//     auto draft = make_event(book, recover, {.now = now, .by = "ana", .job = "2207"});
//     if (!draft) tell(draft.error());
//     auto done = record(book, {*draft}, {});
//
// A draft is a value: it may be changed, kept or thrown away, and says nothing of the book's chain.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"

namespace tarebook {

/// What a draft says besides what happened. What is not known is left out, and stays "not on record".
struct DraftFacts {
    Instant now{};                           ///< when it is recorded; the library reads no clock of its own
    std::optional<Moment> when = {};         ///< when it happened; without it `now`, by the clock of the place
    std::optional<std::string> by = {};      ///< code of the person who did it
    std::optional<std::string> job = {};     ///< as the shop writes it
    std::optional<std::string> scale = {};   ///< code of the scale that was read
    std::optional<std::string> note = {};    ///< in any words
    std::optional<std::string> own_id = {};  ///< the caller's: the same id with the same words is recorded once
};

/// The zone whose clock people look at where the event happened: that of the site of its circuit, appliance or entry,
/// else the book's.
std::string zone_of(const Book& book, const Event& event);

/// A draft of an event. Error (usage): time-zone, where this machine does not know the zone of the place.
Result<Event> make_event(const Book& book, What what, DraftFacts facts);

/// A field of a register entry as a person typed it: {"tare", "27.5lb"}.
struct TypedField {
    std::string name, typed;
};

/// A draft that adds an entry to the register, or corrects fields of the one that is there. `reads`: the unit of a bare
/// number, that of a scale. Errors (usage): code-format, field-unknown, and those of parse_field and make_event.
Result<Event> make_entry(const Book& book, EntryKind kind, const std::string& code,
                         const std::vector<TypedField>& fields, DraftFacts facts,
                         ScaleReads reads = ScaleReads::unknown);

}  // namespace tarebook
