// Where the signing key is: in the book's file, or, of a book on a server, in a file of the person who records there.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "impl.hpp"

namespace tarebook {

/// The key as it is kept, plain or locked; nothing where there is none.
std::optional<std::string> kept_key(Book::Impl& book);
/// Replaces the kept key. Precondition: a transaction is open; in a file the key is there with its COMMIT.
void keep_key(Book::Impl& book, std::string_view bytes);
/// Keeps the key of a new book. False where a file has the same key already, StorageError where it has another form of
/// it: then the file is of a book that is there, and stays.
bool keep_first_key(Db& db, const BookId& id, std::string_view bytes);

/// A second book with the key of one that lives on a server would go on with numbers that the first one gives, too.
void refuse_where_key_is(const BookId& id);

}  // namespace tarebook
