// How far signed heads reach on the own chain. An event behind the last of them was not recorded by a command: another
// program put it there, or its head is damaged.
#pragma once

#include "impl.hpp"

namespace tarebook {

/// The last event of the own chain; number 0 where there is none.
Head own_end(Book::Impl& book);

/// The last event of a branch of any chain; number 0 where there is none.
Head branch_end(Book::Impl& book, std::int64_t origin);

/// The last event of the chain to which this person appends.
Head writers_end(Book::Impl& book);

/// The number of the last event of the own chain under a head whose signature holds; 0 where there is none.
std::int64_t last_signed(Book::Impl& book);

/// Precondition of recording, because the next signature vouches for all events before it: StorageError if the last
/// event of the chain to which this person appends has no signed head. Returns that event.
Head signed_end(Book::Impl& book);

}  // namespace tarebook
