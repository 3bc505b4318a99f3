// The register as another book had it. Its lines have the form of events of the kind `entry`, with the place and the
// moment of the event that set the fields: if that event comes in later, it has the same content.
#pragma once

#include <functional>

#include "impl.hpp"

namespace tarebook {

/// False if the same or a later one is there already.
bool keep_snapshot(Book::Impl& book, const BookId& sender, const std::string& public_key, std::int64_t seq,
                   std::string_view body);
/// The name under which the table `book` has the number and the digest of such a register. Its signature was verified
/// when it came, and is not kept.
std::string snapshot_note(const BookId& sender, std::string_view public_key);
/// Gives each book that a snapshot names a number, also those without an event in the file: a value names the book that
/// set it.
void number_books_of_snapshots(Book::Impl& book);
/// Visits the entries of the snapshots that count: those of trusted books.
void each_snapshot_entry(Book::Impl& book, const std::function<void(const Event&)>& visit);

}  // namespace tarebook
