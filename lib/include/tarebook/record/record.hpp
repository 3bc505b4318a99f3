// The one way into the book. Drafts come in, checks look at them on the state that they would make, and either all of
// them are in the book or none is (I6).
//
//     auto done = record(book, {draft}, {});
//     if (!done) tell(done.error());            // refused: nothing was written
//
// The book's write lock comes first: own ids, what a draft refers to, the checks and the commit all look at one state
// of the book, and of two rivals the second sees what the first did. The lock is free while a person is asked; after
// the answer everything is looked at again.
//
// Recording the same own_id with the same content again is answered "already recorded" (I7).
//
// Every function here may throw StorageError, as the book does.
#pragma once

#include <functional>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/book/drafts.hpp"

namespace tarebook {

/// How drafts are recorded.
struct RecordOptions {
    std::optional<std::string> anyway = {};  ///< the reason why what would be refused is recorded; set for all drafts
    /// Asks a person; true: yes, record it. A yes holds for the figures that were shown: if they changed meanwhile, it
    /// is asked again. Without this function what would be refused is refused.
    std::function<bool(const Finding&)> ask = {};
    /// Judges on a copy of the book: takes no lock, writes nothing, and works on a book that cannot be written.
    bool dry_run = false;
    std::function<void(double)> progress = {};  ///< of many drafts: how much is done, 0 to 1
    std::size_t most_listed = 1000;             ///< of many drafts: problems and exceptions that are listed
};

/// One of several drafts that come from one place, such as the lines of a sheet.
struct DraftLine {
    std::optional<Event> draft;          ///< empty where the line could not be read
    std::vector<std::string> cylinders;  ///< named by a line that could not be read; its effect on them is not known
    bool any_cylinder = false;  ///< of a line that could not be read: it is not even known which cylinders it is about
};

/// What speaks against one draft.
struct DraftProblem {
    std::size_t draft = 0;  ///< its place among the drafts
    Error error;
};
/// An exception that one draft brings.
struct DraftException {
    std::size_t draft = 0;
    Finding finding;
};

/// What became of drafts: of a command, a sheet, an import, a dry run.
struct Recorded {
    std::vector<StoredEvent> events;         ///< new ones, in the order of the drafts; none of a dry run, nor of many
    std::vector<Outcome> outcomes;           ///< of these events
    std::vector<StoredEvent> already;        ///< in the book before, with the same content; of many: only counted
    std::vector<DraftProblem> problems;      ///< where there is one, nothing was written
    std::vector<DraftException> exceptions;  ///< recorded and listed; of a dry run: what would be
    std::size_t recorded_count = 0, already_count = 0, problem_count = 0, exception_count = 0;
    std::set<int> years;  ///< of many: the years of what is new, by its local days
    Head head;            ///< of the own chain, where something was recorded

    /// Whether nothing speaks against the drafts: they are in the book (of a dry run: they would be).
    explicit operator bool() const { return problem_count == 0; }
    /// The first problem, with the others named in its words. Precondition: there is one.
    [[nodiscard]] Error error() const;
    /// Whether any exception was recorded.
    [[nodiscard]] bool has_exceptions() const { return exception_count > 0; }
    /// Whether nothing was written because all of it was in the book before.
    [[nodiscard]] bool only_already() const { return events.empty() && !already.empty(); }
    /// The first event of one command, new or in the book before. Precondition: there is no problem.
    [[nodiscard]] const StoredEvent& first() const { return events.empty() ? already.front() : events.front(); }
};

/// Records one command's drafts. A draft that has `anyway` of its own is recorded for that reason, and no other draft
/// with it. Where one of them has an own id that is in the book with the same content, the whole command is "already
/// recorded". Problems (refused): the name of the check that refused; test-to-come, unknown-cylinder, unknown-circuit,
/// unknown-appliance, unknown-leak, leak-elsewhere, unknown-site, unknown-scale, unknown-machine, entry-exists,
/// entry-holds-gas, same-cylinder, pumpdown-same-appliance, settle-target, settle-before-return, already-settled,
/// void-target, void-of-void, already-voided, finding-unknown, count-open, unknown-count, count-closed,
/// count-before-begin, cylinder-known, second-person, trust-own, practice-apart, name-taken, book-untrusted,
/// branch-unknown, person-unknown, person-named, own-id-other-content, answered-no. Problems (usage): too-large, those
/// of draft_form_problems().
Recorded record(Book& book, std::vector<Event> drafts, const RecordOptions& options);

/// Makes drafts from what the book says.
using MakeDrafts = std::function<Result<std::vector<Event>>()>;
/// As `record`, for drafts that depend on the book: `make` is called under the lock, and again after a person answered.
/// Its error is the problem.
Recorded record_made(Book& book, const MakeDrafts& make, const RecordOptions& options);

/// As `record`, but each draft is on its own: those whose own ids are in the book already are left out, and every
/// problem of every draft is told, in their order. After a line with a problem nothing is said about the cylinders that
/// it names: what the checks would say of them may come from the gap that it leaves. Nothing is written where any line
/// has a problem.
Recorded record_each(Book& book, std::vector<DraftLine> lines, const RecordOptions& options);

/// As `record_each`, for a million rows: drafts are made one at a time when they are asked for, and are not kept.
/// Precondition: every draft has an own_id, each another: it makes the same file harmless the second time (I7).
Recorded record_many(Book& book, const Drafts& drafts, const RecordOptions& options);

/// The error for a code that is not on record: "unknown-cylinder", with the nearest code in `next`.
Error unknown_code(const Book& book, EntryKind kind, std::string_view code);

}  // namespace tarebook
