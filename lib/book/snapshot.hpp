// The register as another book had it. Its lines have the form of events of the kind `entry`, with the place and the
// moment of the event that set the fields: where that event comes in one day, it says the same.
#pragma once

#include <functional>

#include "impl.hpp"

namespace tarebook {

/// False where a later one, or the same, is there already.
bool keep_snapshot(Book::Impl& book, const BookId& sender, const std::string& public_key, std::int64_t seq,
                   std::string_view body);
/// The name under which the table `book` has the number and the digest of such a register: its signature was verified
/// when it came, and is not kept.
std::string snapshot_note(const BookId& sender, std::string_view public_key);
/// A value names the book that set it, also where none of that book's events is here: each of them gets its number.
void number_books_of_snapshots(Book::Impl& book);
/// Entries of the snapshots that count: those of books that are trusted.
void each_snapshot_entry(Book::Impl& book, const std::function<void(const Event&)>& visit);

}  // namespace tarebook
