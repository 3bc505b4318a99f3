// What a damaged book still holds: every event that can be read goes into a bundle, which another book merges.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"

namespace tarebook {

struct SalvagedEvent {
    BookId book{};
    std::int64_t seq = 0;
    Digest digest{}, previous{};
    std::string body;
};
struct SalvagedHead {
    BookId book{};
    std::int64_t seq = 0;
    Digest digest{};
    std::string signature;
};
/// Everything that can be read of the file, whatever is wrong with the rest.
struct SalvagedRows {
    BookId book{}, shop{};
    std::string public_key, secret_key;    ///< secret_key: 64 bytes, empty where it cannot be read
    std::vector<SalvagedEvent> events;     ///< by book and number
    std::vector<SalvagedHead> heads;       ///< of `events`
    std::vector<SalvagedHead> lost_heads;  ///< of the book itself, over events that cannot be read
    std::int64_t unreadable = 0;           ///< rows that are there and cannot be read, or hold no event
    std::int64_t altered = 0;              ///< events that are not as they were recorded; they are not among `events`
    std::vector<std::string> told;         ///< what is wrong, for people
};
/// StorageError where the file cannot be opened as a database at all.
SalvagedRows salvage_rows(const std::filesystem::path& file);

struct Salvaged {
    std::int64_t events = 0, runs = 0, unreadable = 0, altered = 0;
    /// Runs that end before a gap, under a later signed head that holds: the book's own key signed them again.
    std::int64_t signed_anew = 0;
    std::int64_t left_out = 0;  ///< events that can be read, and that no head covers
    std::vector<std::string> told;
};
/// Errors: file-exists, cannot-write, nothing-to-salvage.
Result<Salvaged> salvage(const std::filesystem::path& damaged, const std::filesystem::path& to, Instant now);

}  // namespace tarebook
