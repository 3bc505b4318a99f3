#include "commit.hpp"

#include <fmt/format.h>
#include <sodium.h>

#include <chrono>
#include <thread>
#include <utility>

#include "atomic_book_file.hpp"
#include "journal.hpp"
#include "own_end.hpp"
#include "units/hex.hpp"

namespace tarebook {

namespace {
constexpr std::chrono::milliseconds asks_for{20'000}, asks_every{200};

// One question, over a new connection. Empty: the server does not answer, or is one that only lets read so far.
std::optional<bool> asked_once(Book::Impl& book, const Committing& committing) {
    try {
        book.db.engine().connect_again();
        const auto done = committing.is_done();
        if (done && *done) {
            // After a restart the server has what its standby may not have yet. This write comes behind it in the
            // server's log, so this COMMIT ends when the standby has both.
            book.db.run("UPDATE turn SET recorded = recorded");
            book.db.commit();
        } else {
            book.db.roll_back();
        }
        return done;
    } catch (const DbError&) {
        return std::nullopt;
    }
}

// The connection broke while COMMIT was under way: the server says what it came to, or the server that takes its place.
void ask_server(Book::Impl& book, const Committing& committing, const DbError& e) {
    if (e.fault() != DbFault::lost) throw e;  // it said no, and rolled back
    const bool before = std::exchange(book.committed, true);
    const auto done = asked_for_a_while([&] { return asked_once(book, committing); });
    if (done && *done) return;
    if (done) {
        book.committed = before;
        throw e;
    }
    throw StorageError(fmt::format("the server of the book {} went away at the very end: {}. Whether it was written "
                                   "is not known.",
                                   book.path.string(), e.what()),
                       committing.next, Written::unknown, true);
}
}  // namespace

std::optional<bool> asked_for_a_while(const std::function<std::optional<bool>()>& question) {
    const auto until = std::chrono::steady_clock::now() + asks_for;
    auto answer = question();
    while (!answer && std::chrono::steady_clock::now() < until) {
        std::this_thread::sleep_for(asks_every);
        answer = question();
    }
    return answer;
}

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
        // A later error must not claim that nothing was written.
        const bool before = std::exchange(book.committed, true);
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
            book.committed = before;
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

void commit_without_event(Book::Impl& book) {
    if (!book.db.on_server()) return commit_transaction(book, own_end(book));
    const auto marked = [&] { return book.db.text("SELECT value FROM book WHERE name = ?", std::string(end_mark)); };
    const auto before = marked();
    std::string random(16, '\0');
    randombytes_buf(random.data(), random.size());
    const std::string mark = hex_of_bytes(random);
    set_info(book.db, end_mark, mark);
    commit_or_ask(book, {"up to its end", "the same command again does no harm", [&]() -> std::optional<bool> {
                             const auto there = marked();
                             if (there == mark) return true;
                             // where another one has ended meanwhile, its mark may stand in the place of this one
                             return there == before ? std::optional(false) : std::nullopt;
                         }});
}

}  // namespace tarebook
