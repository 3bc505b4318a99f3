// Events and registers that came in and that no trusted key covers, kept byte for byte beside the book. Quarantine
// counts for nothing, and nothing in the book depends on it; `trust` takes it in by the way of a merge.
#pragma once

#include "impl.hpp"

namespace tarebook {

/// A run of events up to a head, or a register, as a bundle had it.
struct Waiting {
    std::int64_t id = 0;  ///< its row; 0 if it has none yet
    BookId book{};
    std::string key;                   ///< hex; the key under which its head holds
    std::int64_t first = 0;            ///< 0 for a register
    Head head;                         ///< of a register: the number of its sender's event, and the digest of its lines
    std::string signature;             ///< of the head; of a register that an earlier version kept: empty
    bool kept = true;                  ///< false: there was no room for its lines
    std::optional<std::string> lines;  ///< each with its line feed

    [[nodiscard]] bool is_register() const { return first == 0; }
    [[nodiscard]] std::int64_t events() const { return is_register() ? 0 : head.seq - first + 1; }
};

/// The limits of quarantine as a whole, in bytes and days. Events of a truck that the office trusts some weeks later
/// fit; bundles of books that it never trusts do not make the file grow.
inline constexpr std::int64_t most_quarantined = 16 << 20;
inline constexpr std::chrono::days longest_quarantined{90};

/// The bytes that a row takes beside its lines.
inline constexpr std::int64_t quarantine_row_bytes = 512;

enum class Kept { as_it_came, without_lines, not_at_all, already };
/// Keeps a run or register. `now`: the moment of what is being recorded. First removes what is older than the longest
/// time.
Kept keep_waiting(Book::Impl& book, const Waiting& one, Instant now);
void forget_waiting(Book::Impl& book, std::int64_t id);
/// Removes runs of the book that end with this event and do not begin before `first`, because all of their events are
/// in the book now.
bool forget_arrived(Book::Impl& book, const BookId& id, std::int64_t first, const Digest& digest);
/// All runs, in the order of their numbers. With `id`: those of one book, with their lines.
std::vector<Waiting> waiting(Book::Impl& book, const std::optional<BookId>& id = {});

/// Visits each of its events in order. False if they do not follow each other up to the head, or if its signature does
/// not hold.
bool each_waiting(const Waiting& one,
                  const std::function<void(const Event&, std::string_view body, const Digest&)>& visit);

/// Whether it is as it came, by its digests and signatures.
bool holds(const Waiting& one);

}  // namespace tarebook
