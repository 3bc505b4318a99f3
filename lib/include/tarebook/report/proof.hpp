// Proof for somebody who does not have the book: that nothing was changed since a head that they noted, and that one
// event was in a year when it was sealed. Both are checked with the book's public key alone.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/report/report.hpp"

namespace tarebook {

/// A head as somebody wrote it down: from a visit sheet, an export, a merge or a file of `tarebook books head`.
struct NotedHead {
    std::optional<BookId> book;  ///< the own one where it does not say
    std::int64_t seq = 0;
    std::string digest;  ///< hex, whole or its first sixteen digits at least
    std::optional<std::string> signature, public_key;
};
/// "E12 9f2c...", "12:9f2c...", "BOOK:12:9f2c...", or the line of a signed head. Error: head-format.
Result<NotedHead> parse_noted_head(std::string_view text);
/// What contradicts the noted head; nothing where the book still has that event at that place. The chain itself is
/// verified by Book::check.
std::optional<std::string> contradiction(const Book& book, const NotedHead& head);

/// The line of a signed head, for whoever shall hold it. Error: nothing-signed.
Result<std::string> signed_head_line(const Book& book);

/// The event, the way from it to the root of its year's seal, the seal and its signed head: four lines.
/// Errors: event-unknown, year-not-sealed, seal-broken, sealed-without (the event came after the seal).
Result<std::string> proof_of(const Book& book, std::string_view event, Instant now);

struct Verified {
    std::string public_key;  ///< that signed it: whether it is the right one is for the reader to say
    BookId book{};
    Head head;
    std::optional<Event> event;  ///< of a proof
    Digest digest{};             ///< of that event
    std::optional<kinds::Seal> seal;
    std::int64_t leaf = 0;
};
/// Of the text of a file that one of the two above made; needs no book. Errors: proof-form, proof-broken.
Result<Verified> verify_proof(std::string_view text);
Page verified_page(const Verified& verified, const std::optional<std::string>& expected_key,
                   const PageOptions& options);

}  // namespace tarebook
