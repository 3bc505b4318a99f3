// What a damaged book still holds: every event that can be read goes into a bundle, which another book merges.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"

namespace tarebook {

/// An event that can be read, with its canonical bytes.
struct SalvagedEvent {
    BookId book{};
    std::int64_t seq = 0;
    Digest digest{}, previous{};
    std::string body;
};
/// A signed head; `signature` is 64 bytes.
struct SalvagedHead {
    BookId book{};
    std::int64_t seq = 0;
    Digest digest{};
    std::string signature;
};
/// All that can be read of a damaged file.
struct SalvagedRows {
    BookId book{}, shop{};
    std::string public_key, secret_key;    ///< public_key: hex; secret_key: 64 bytes, empty if it cannot be read
    std::vector<SalvagedEvent> events;     ///< by book and number
    std::vector<PersonName> people;        ///< names that are those of their codes
    std::vector<SalvagedHead> heads;       ///< of `events`
    std::vector<SalvagedHead> lost_heads;  ///< of the book itself, over events that cannot be read
    std::int64_t unreadable = 0;           ///< rows that are there and cannot be read, or hold no event
    std::int64_t altered = 0;              ///< events that are not as they were recorded; they are not among `events`
    std::vector<std::string> told;         ///< what is wrong, for people
};
/// Reads what can be read, and changes nothing. Throws StorageError where the file cannot be opened as a database at
/// all.
SalvagedRows salvage_rows(const std::filesystem::path& file);

/// What a salvage saved.
struct Salvaged {
    std::int64_t events = 0, runs = 0, unreadable = 0, altered = 0;
    /// Runs that end before a gap, under a later signed head that holds: the book's own key signed them again.
    std::int64_t signed_anew = 0;
    std::int64_t left_out = 0;  ///< events that can be read, and that no head covers
    std::vector<std::string> told;
};
/// Writes a bundle of all that can be read and is covered by a signed head; the damaged file stays as it is. Errors:
/// file-exists, cannot-write, nothing-to-salvage. Throws StorageError as salvage_rows does.
Result<Salvaged> salvage(const std::filesystem::path& damaged, const std::filesystem::path& to, Instant now);

}  // namespace tarebook
