#include "commit.hpp"

#include <fmt/format.h>

#include "journal.hpp"

namespace tarebook {

namespace {
// The connection broke while COMMIT was under way: the server says what it came to.
void ask_server(Book::Impl& book, const Committing& committing, const DbError& e) {
    if (e.fault() != DbFault::lost) throw e;  // it said no, and rolled back
    book.committed = true;
    std::optional<bool> done;
    try {
        book.db.engine().connect_again();
        done = committing.is_done();
        book.db.roll_back();
    } catch (const DbError&) {  // NOLINT(bugprone-empty-catch): then it is not known
    }
    if (done && *done) return;
    if (done) {
        book.committed = false;
        throw e;
    }
    throw StorageError(fmt::format("the server of the book {} went away at the very end: {}. Whether it was written "
                                   "is not known.",
                                   book.path.string(), e.what()),
                       committing.next, Written::unknown, true);
}
}  // namespace

void commit_or_ask(Book::Impl& book, const Committing& committing) {
    const bool log = has_log(book.db);  // asked while the disk still answers
    try {
        book.db.commit();
        book.committed = true;
    } catch (const DbError& e) {
        if (book.db.in_transaction()) {  // still open: it can be rolled back
            try {
                book.db.roll_back();
            } catch (const DbError&) {  // NOLINT(bugprone-empty-catch): the journal undoes it later
            }
            throw;
        }
        if (book.db.on_server()) return ask_server(book, committing, e);
        book.committed = true;  // a later error must not claim that nothing was written
        std::optional<bool> done;
        try {
            done = committing.is_done();
        } catch (const DbError&) {  // NOLINT(bugprone-empty-catch): then it is not known
        }
        const auto file = book.path.string();
        // A log that the disk did not confirm may hold the whole transaction: a program that finds the log later would
        // take it in.
        const bool may_come_back = log && !take_log_in(book.db, book.path);
        if (done && !*done && !may_come_back) {
            book.committed = false;
            throw;
        }
        if (may_come_back && done && !*done) done.reset();
        throw StorageError(
            done ? fmt::format("the book {} has taken it ({}), but the disk did not confirm it: {}.", file,
                               committing.taken, e.what())
                 : fmt::format("the book {} failed at the very end: {}. Whether it was written is not known.", file,
                               e.what()),
            committing.next, done ? Written::yes : Written::unknown, true);
    }
}

}  // namespace tarebook
