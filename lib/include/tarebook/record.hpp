// The one way into the book. Drafts come in, checks look at them on the state that they would make, and either all of
// them are in the book or none is (I6).
//
//     auto done = record(book, {draft}, {.anyway = {}, .ask = {}});
//     if (!done) tell(done.error());            // refused: nothing was written
//
// Recording the same own_id with the same content again is answered "already recorded" (I7).
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "tarebook/book.hpp"

namespace tarebook {

struct RecordOptions {
    std::optional<std::string> anyway;             ///< the reason why what would be refused is recorded
    std::function<bool(const Finding&)> ask = {};  ///< where there is somebody to ask; true: yes, record it
};

struct Recorded {
    std::vector<StoredEvent> events;
    std::vector<Outcome> outcomes;  ///< of the events, in their order
    bool already = false;           ///< it was in the book before; nothing was written now
    [[nodiscard]] bool has_exceptions() const;
};

/// Errors (ErrorKind::refused unless said): the name of the check that refused; unknown-cylinder, unknown-circuit,
/// unknown-appliance, unknown-site, unknown-scale, unknown-machine, entry-exists, entry-unknown, same-cylinder,
/// void-target, void-of-void, already-voided, finding-unknown, own-id-other-content, answered-no,
/// text-not-utf8 (usage), text-too-long (usage).
Result<Recorded> record(Book& book, std::vector<Event> drafts, const RecordOptions& options);

/// "unknown cylinder RC-30", with the nearest code in `next`.
Error unknown_code(const Book& book, EntryKind kind, std::string_view code);

}  // namespace tarebook
