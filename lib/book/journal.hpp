// Which journal a book has. On a disk of this machine it is SQLite's write-ahead log: a reader does not make a writer
// wait, and a writer does not make a reader wait. The log goes when the last program closes the book: then the
// file alone is the whole book. On a network disk it is a rollback journal: programs on two machines share no memory.
#pragma once

#include <filesystem>
#include <memory>

#include "impl.hpp"

namespace tarebook {

/// A log that was left behind by a killed program is the book's own if it goes on from where the file says that it was
/// written to, event by event. StorageError where it does not: SQLite would write its pages into the book. Does nothing
/// where there is no log, or where this program has the book open already.
void refuse_strange_log(const std::filesystem::path& book);

/// A connection for reading. It may put a log that was left behind into the book when it closes. Where file and folder
/// may not be written, a log that cannot be read with them is a StorageError that names it: what it holds was
/// acknowledged, and the file alone is an older book.
std::unique_ptr<Db> connection_for_reading(const std::filesystem::path& book, const WhileWaiting& while_waiting = {});

/// For who records: gives the book the journal that its disk wants; it stays as it is while another program has the
/// book open. A StorageError where a book on a network disk has a log and another program has it open.
void choose_journal(Book::Impl& book);

/// The same for a file that stays as it is, and beside which no file is made where none is.
std::unique_ptr<Db> connection_that_leaves_nothing(const std::filesystem::path& book);
/// The file without its log, whatever lies beside it.
std::unique_ptr<Db> connection_alone(const std::filesystem::path& book);
/// Is there a log beside it that holds anything?
bool log_has_pages(const std::filesystem::path& book);

bool has_log(Db& db);

/// Inside each transaction that records: up to where the own chain is written, and where the log began. A log that is
/// left behind is known by both.
void note_written(Book::Impl& book, const Head& head);

/// Waits until no other program has the book open, and gives it a rollback journal until somebody records in it again.
void leave_no_log(Db& db);

/// Asks SQLite to write the log into the file and to empty the log. False if the log still has bytes afterwards.
bool take_log_in(Db& db, const std::filesystem::path& book);

}  // namespace tarebook
