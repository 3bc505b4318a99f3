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

/// A draft with `anyway` set is recorded for that reason, whatever the others are; options.anyway sets it for all.
/// Errors (ErrorKind::refused unless said): the name of the check that refused; test-to-come, unknown-cylinder,
/// unknown-circuit, unknown-appliance, unknown-leak, leak-elsewhere, unknown-site, unknown-scale, unknown-machine,
/// entry-exists, same-cylinder, settle-target, settle-before-return, already-settled, void-target, void-of-void,
/// already-voided, finding-unknown, count-open, unknown-count, count-closed, count-before-begin, cylinder-known,
/// second-person, own-id-other-content, answered-no, text-not-utf8 (usage), text-too-long (usage).
Result<Recorded> record(Book& book, std::vector<Event> drafts, const RecordOptions& options);

/// One of several drafts that come from one place, such as the lines of a sheet.
struct DraftLine {
    std::optional<Event> draft;          ///< empty where the line could not be read
    std::vector<std::string> cylinders;  ///< that such a line names: what it would have done to them is not known
    bool any_cylinder = false;           ///< nor is it known which cylinders it is about
};
struct LineProblem {
    std::size_t draft = 0;
    Error error;
};
struct RecordedEach {
    Recorded recorded;                 ///< what was recorded now
    std::vector<StoredEvent> already;  ///< what was in the book before, with the same content
};

/// As `record`, but for drafts with own ids of their own: those that are in the book already are left out, and every
/// problem of every draft is told, in their order, instead of the first. All drafts must be readable.
tl::expected<RecordedEach, std::vector<LineProblem>> record_each(Book& book, std::vector<DraftLine> lines,
                                                                 const RecordOptions& options);
struct LineException {
    std::size_t draft = 0;
    Finding finding;
};
struct LookedAtEach {
    std::vector<LineProblem> problems;      ///< what record_each would refuse
    std::vector<LineException> exceptions;  ///< what it would record, and list
};
/// What record_each would find; writes nothing. After a line with a problem nothing is said about the cylinders that it
/// names: what the checks would say of them may come from the gap that it leaves.
LookedAtEach look_at_each(Book& book, const std::vector<DraftLine>& lines);

/// "unknown cylinder RC-30", with the nearest code in `next`.
Error unknown_code(const Book& book, EntryKind kind, std::string_view code);

}  // namespace tarebook
