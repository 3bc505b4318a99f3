// The one way into the book. Drafts come in, checks look at them on the state that they would make, and either all of
// them are in the book or none is (I6).
//
//     auto done = record(book, {draft}, {});
//     if (!done) tell(done.error());            // refused: nothing was written
//
// The book's write lock comes first: own ids, what a draft refers to, the checks and the commit all look at one state
// of the book, and of two rivals the second sees what the first did. Nobody holds the lock while a person is asked;
// after the answer everything is looked at again.
//
// Recording the same own_id with the same content again is answered "already recorded" (I7).
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/book/drafts.hpp"

namespace tarebook {

struct RecordOptions {
    std::optional<std::string> anyway = {};  ///< the reason why what would be refused is recorded; set for all drafts
    /// Where there is somebody to ask; true: yes, record it. A yes holds for the figures that were shown: where they
    /// changed meanwhile, it is asked again.
    std::function<bool(const Finding&)> ask = {};
    /// Judges on a copy of the book: takes no lock, writes nothing, and works on a book that cannot be written.
    bool dry_run = false;
    std::function<void(double)> progress = {};  ///< of many drafts: how much is done, 0 to 1
    std::size_t most_listed = 1000;             ///< of many drafts: problems and exceptions that are listed
};

/// One of several drafts that come from one place, such as the lines of a sheet.
struct DraftLine {
    std::optional<Event> draft;          ///< empty where the line could not be read
    std::vector<std::string> cylinders;  ///< that such a line names: what it would have done to them is not known
    bool any_cylinder = false;           ///< nor is it known which cylinders it is about
};

struct DraftProblem {
    std::size_t draft = 0;  ///< its place among the drafts
    Error error;
};
struct DraftException {
    std::size_t draft = 0;
    Finding finding;
};

/// What became of drafts, whichever way they came: a command, a sheet, an import, a dry run.
struct Recorded {
    std::vector<StoredEvent> events;         ///< new ones, in the order of the drafts; none of a dry run, nor of many
    std::vector<Outcome> outcomes;           ///< of these events
    std::vector<StoredEvent> already;        ///< in the book before, with the same content; of many: only counted
    std::vector<DraftProblem> problems;      ///< where there is one, nothing was written
    std::vector<DraftException> exceptions;  ///< recorded and listed; of a dry run: what would be
    std::size_t recorded_count = 0, already_count = 0, problem_count = 0, exception_count = 0;
    Head head;  ///< of the own chain, where something was recorded

    /// Nothing speaks against the drafts: they are in the book (of a dry run: they would be).
    explicit operator bool() const { return problem_count == 0; }
    /// The first problem, with the others named in its words. Precondition: there is one.
    [[nodiscard]] Error error() const;
    [[nodiscard]] bool has_exceptions() const { return exception_count > 0; }
    /// Nothing was written, because all of it was in the book before.
    [[nodiscard]] bool only_already() const { return events.empty() && !already.empty(); }
    /// The first event of one command, new or in the book before. Precondition: there is no problem.
    [[nodiscard]] const StoredEvent& first() const { return events.empty() ? already.front() : events.front(); }
};

/// Records one command's drafts. A draft with `anyway` set is recorded for that reason, whatever the others are. Where
/// one of them has an own id that is in the book with the same content, the whole command is "already recorded".
/// Problems (ErrorKind::refused unless said): the name of the check that refused; test-to-come, unknown-cylinder,
/// unknown-circuit, unknown-appliance, unknown-leak, leak-elsewhere, unknown-site, unknown-scale, unknown-machine,
/// entry-exists, same-cylinder, settle-target, settle-before-return, already-settled, void-target, void-of-void,
/// already-voided, finding-unknown, count-open, unknown-count, count-closed, count-before-begin, cylinder-known,
/// second-person, own-id-other-content, answered-no; those of draft_form_problems() (usage).
Recorded record(Book& book, std::vector<Event> drafts, const RecordOptions& options);

/// The same of drafts that rest on what the book says: `make` is called under the lock, and again after an answer.
using MakeDrafts = std::function<Result<std::vector<Event>>()>;
Recorded record_made(Book& book, const MakeDrafts& make, const RecordOptions& options);

/// As `record`, but each draft stands for itself: those whose own ids are in the book already are left out, and every
/// problem of every draft is told, in their order. All drafts must be readable. After a line with a problem nothing is
/// said about the cylinders that it names: what the checks would say of them may come from the gap that it leaves.
Recorded record_each(Book& book, std::vector<DraftLine> lines, const RecordOptions& options);

/// As `record_each`, for a million rows: drafts are made one at a time when they are asked for, and are not kept. Every
/// draft must have an own_id, each another: it is what makes the same file harmless the second time (I7).
Recorded record_many(Book& book, const Drafts& drafts, const RecordOptions& options);

/// "unknown cylinder RC-30", with the nearest code in `next`.
Error unknown_code(const Book& book, EntryKind kind, std::string_view code);

}  // namespace tarebook
