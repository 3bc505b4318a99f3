// Proof for a person who does not have the book: that nothing was changed since a head that was noted, and that one
// event was in a year when it was sealed. Both are checked with the book's public key alone.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/report/report.hpp"

namespace tarebook {

/// A head as a person noted it: from a visit sheet, an export, a merge or a file of `tarebook books head`.
struct NotedHead {
    std::optional<BookId> book;  ///< the own one where not said
    std::int64_t seq = 0;
    std::string digest;  ///< hex, whole or its first sixteen digits at least
    std::optional<std::string> signature, public_key;
};
/// Takes "E12 9f2c...", "12:9f2c...", "BOOK:12:9f2c...", or the line of a signed head. Error (usage): head-format.
Result<NotedHead> parse_noted_head(std::string_view text);
/// One sentence for people: what contradicts the noted head; nothing where the book still has that event at that place.
/// The chain itself is verified by Book::check.
std::optional<std::string> contradiction(const Book& book, const NotedHead& head);

/// The last signed head as a line with its line feed, for a person who keeps it. Error (refused): nothing-signed.
Result<std::string> signed_head_line(const Book& book);

/// The event, the way from it to the root of its year's seal, the seal and its signed head: four lines. Errors
/// (refused): event-unknown, year-not-sealed, seal-broken, sealed-without (the event came in after the seal).
Result<std::string> proof_of(const Book& book, std::string_view event, Instant now);

/// What a proof or a signed head says, its signature verified.
struct Verified {
    std::string public_key;  ///< that signed it, in hex; whether it is the right one the reader has to know
    BookId book{};
    Head head;
    std::optional<Event> event;  ///< of a proof
    Digest digest{};             ///< of that event
    std::optional<kinds::Seal> seal;
    std::int64_t leaf = 0;  ///< of a proof: the event's place among those of the year, from 0
};
/// Verifies the text of signed_head_line or proof_of, up to 1 MiB; needs no book. Errors (refused): proof-form,
/// proof-broken.
Result<Verified> verify_proof(std::string_view text);
/// What was verified. `expected_key`: in hex, compared with the key that signed.
Page verified_page(const Verified& verified, const std::optional<std::string>& expected_key,
                   const PageOptions& options);

}  // namespace tarebook
