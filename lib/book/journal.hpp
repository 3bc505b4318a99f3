// Which journal a book has. On a disk of this machine it is SQLite's write-ahead log: readers and writers do not wait
// for each other. The log is removed when the last program closes the book: then the file alone is the whole book. On a
// network disk it is a rollback journal, because programs on two machines share no memory.
#pragma once

#include <filesystem>
#include <memory>

#include "impl.hpp"

namespace tarebook {

/// Refuses a log that is not the book's own. A killed program's log is the book's own if it goes on, event by event,
/// from the last event that the file states. StorageError if it does not: SQLite would write its pages into the book.
/// Does nothing if there is no log, or if this program has the book open already.
void refuse_strange_log(const std::filesystem::path& book);

/// A connection for reading. When it closes it may put a log that was left behind into the book. StorageError that
/// names the log if it cannot be read because file and folder may not be written: the log holds acknowledged events,
/// and the file alone is an older book.
std::unique_ptr<Db> connection_for_reading(const std::filesystem::path& book, const WhileWaiting& while_waiting = {});

/// Precondition: the caller records. Gives the book the journal that suits its disk; it stays as it is while another
/// program has the book open. StorageError if a book on a network disk has a log and another program has it open.
void choose_journal(Book::Impl& book);

/// A connection for reading that does not change the file and makes no file beside it.
std::unique_ptr<Db> connection_that_leaves_nothing(const std::filesystem::path& book);
/// A connection to the file without its log and without any other file beside it.
std::unique_ptr<Db> connection_alone(const std::filesystem::path& book);
/// Whether there is a log with at least one page beside the book.
bool log_has_pages(const std::filesystem::path& book);

bool has_log(Db& db);

/// Runs inside each transaction that records: notes the last event of the own chain, and that at which the log began.
/// Both identify a log that is left behind.
void note_written(Book::Impl& book, const Head& head);

/// Waits until no other program has the book open, and gives it a rollback journal until a program records in it again.
void leave_no_log(Db& db);

/// Asks SQLite to write the log into the file and to empty the log. False if the log still has bytes afterwards.
bool take_log_in(Db& db, const std::filesystem::path& book);

}  // namespace tarebook
