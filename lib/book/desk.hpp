// A desk: a person who records in a book on a server with a chain and a key of their own. The person has the key, and a
// note which desk it is; the server has the chain, and the book trusts it once, as it trusts the book of a truck.
#pragma once

#include "impl.hpp"

namespace tarebook {

/// Finds out whether this person records as a desk: sets `info.desk`.
void read_desk(Book::Impl& book);
/// Precondition of recording. StorageError where this desk is not trusted.
void refuse_untrusted_desk(const Book::Impl& book);
/// Precondition of all that writes. StorageError where the book has another place now.
void refuse_where_it_was(const Book::Impl& book);
/// The way out for a book that is on its way to a place that is gone. Precondition: moving_to.
std::string where_place_is_gone(const Book::Impl& book);
/// StorageError for what only who keeps the book does; `what`: "takes in bundles".
void refuse_at_a_desk(const Book::Impl& book, std::string_view what);
/// The first recording of a desk puts its chain into the list of books, with the event `start`. Returns its end.
Head begin_chain(Book::Impl& book, const Event& draft);

}  // namespace tarebook
