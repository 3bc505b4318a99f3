// What came in and no trusted key covers: kept as it came, beside the book. It counts for nothing, and nothing in the
// book depends on it; `trust` takes it in by the way that a merge goes.
#pragma once

#include "impl.hpp"

namespace tarebook {

/// A run of events up to a head, or a register, as a bundle had it.
struct Waiting {
    std::int64_t id = 0;  ///< its row; 0 where it has none yet
    BookId book{};
    std::string key;                   ///< hex; under which its head holds
    std::int64_t first = 0;            ///< 0: a register
    Head head;                         ///< of a register the number of its sender's event, and the digest of its lines
    std::string signature;             ///< of the head
    bool kept = true;                  ///< false: there was no room for its lines
    std::optional<std::string> lines;  ///< each with its line feed

    [[nodiscard]] bool is_register() const { return first == 0; }
    [[nodiscard]] std::int64_t events() const { return is_register() ? 0 : head.seq - first + 1; }
};

/// All of quarantine together, and for how long. A book that is made on a truck and trusted in the office some weeks
/// later fits; what a stranger sends does not make the book grow.
inline constexpr std::int64_t most_quarantined = 16 << 20;
inline constexpr std::chrono::days longest_quarantined{90};

/// What a row takes of it beside its lines.
inline constexpr std::int64_t quarantine_row_bytes = 512;

enum class Kept { as_it_came, without_lines, not_at_all, already };
/// `now`: of what is being recorded. What is older than the longest time by it goes first.
Kept keep_waiting(Book::Impl& book, const Waiting& one, Instant now);
void forget_waiting(Book::Impl& book, std::int64_t id);
/// Those runs of the book that end with this event and do not begin before `first`: all of them is in the book now.
bool forget_arrived(Book::Impl& book, const BookId& id, std::int64_t first, const Digest& digest);
/// In the order of their numbers. `id`: of one book alone, with their lines.
std::vector<Waiting> waiting(Book::Impl& book, const std::optional<BookId>& id = {});
/// Whether anything of the book lies in quarantine.
bool anything_waits(Book::Impl& book, const BookId& id);

/// Visits each of its events in order; false where they do not follow each other up to the head, or its signature does
/// not hold.
bool each_waiting(const Waiting& one,
                  const std::function<void(const Event&, std::string_view body, const Digest&)>& visit);

/// Whether it is as it came, as far as digests and signatures tell.
bool holds(const Waiting& one);

}  // namespace tarebook
