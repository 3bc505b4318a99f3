// A book on a server: what differs from one in a file when it is made, opened and committed.
#pragma once

#include <functional>

#include "impl.hpp"

namespace tarebook {

/// The number of the server's schema; 0 where the database has none of a book.
int office_schema_of(Db& db);
/// A connection to record or read. StorageError if there is no book, or one of a newer program.
std::unique_ptr<Db> connection_to_server(const std::filesystem::path& address);
/// As connection_to_server; nothing where the database has no book.
std::unique_ptr<Db> connection_to_server_if_any(const std::filesystem::path& address);
/// Gives the tables of an older program the form that this one writes.
void bring_up_to_date(Db& db);
/// Makes a book in a database that has none: tables, then what `fill` records, all in one transaction, which `fill`
/// ends by commit_made().
void make_on_server(const std::filesystem::path& address, const std::function<void(std::unique_ptr<Db>)>& fill);
/// Where the connection breaks meanwhile, the server is asked whether the book is there. A DbError then says that it is
/// not, a StorageError that this is not known.
void commit_made(Db& db, const std::filesystem::path& address, const BookId& id);

/// As rethrow_as_storage_error, for a book on a server.
[[noreturn]] void rethrow_of_server(const DbError& e, const std::filesystem::path& address, const std::string& nothing,
                                    const LockPatience* patience);

}  // namespace tarebook
