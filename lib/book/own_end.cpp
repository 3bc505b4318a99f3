#include "own_end.hpp"

#include <fmt/format.h>

namespace tarebook {

namespace {
std::int64_t last_signed_of(Book::Impl& book, const Book::Impl::Writer& chain) {
    // On an earlier branch the chain ends with the event that the later branch follows.
    std::int64_t until = INT64_MAX;
    for (auto origin = chain.origin; origin != 0;) {
        auto s = book.db.walk(
            "SELECT h.seq, h.digest, h.signature, e.digest FROM head h JOIN event e ON e.origin = h.origin AND e.seq = "
            "h.seq WHERE h.origin = ? AND h.seq <= ? ORDER BY h.seq DESC",
            origin, until);
        while (s.next())
            if (s.bytes(1) == s.bytes(3) &&
                head_signature_holds(chain.public_key, chain.book, s.integer(0), digest_from(s.bytes(1)), s.bytes(2)))
                return s.integer(0);
        const auto& known = book.origins.at(origin);
        until = known.parent_seq;
        origin = known.parent;
    }
    return 0;
}
}  // namespace

Head branch_end(Book::Impl& book, std::int64_t origin) {
    auto s = book.db.ask("SELECT seq, digest FROM event WHERE origin = ? ORDER BY seq DESC LIMIT 1", origin);
    return s.next() ? Head{s.integer(0), s.digest(1)} : Head{};
}
Head own_end(Book::Impl& book) {
    return branch_end(book, book.own_origin);
}
Head writers_end(Book::Impl& book) {
    return branch_end(book, book.writer().origin);
}

std::int64_t last_signed(Book::Impl& book) {
    return last_signed_of(book, {book.info.id, book.own_branch, book.own_origin, book.info.public_key});
}

Head signed_end(Book::Impl& book) {
    const auto chain = book.writer();
    Head end;
    for (auto s = book.db.ask(
             "SELECT e.seq, e.digest, h.signature FROM event e LEFT JOIN head h ON h.origin = e.origin AND h.seq = "
             "e.seq "
             "AND h.digest = e.digest WHERE e.origin = ?1 AND e.seq = (SELECT max(seq) FROM event WHERE origin = ?1)",
             chain.origin);
         s.next();) {
        end = {s.integer(0), s.digest(1)};
        if (!s.is_null(2) && head_signature_holds(chain.public_key, chain.book, end.seq, end.digest, s.bytes(2)))
            return end;
    }
    if (end.seq == 0) return end;
    const auto last = end.seq, covered = last_signed_of(book, chain);
    if (covered >= last) return end;
    throw StorageError(
        fmt::format("{} is at the end of the book without a valid signed head: another program put it there, or the "
                    "file is damaged. Nothing was written.",
                    covered + 1 == last ? "event " + event_name(last)
                                        : fmt::format("what follows event {}", event_name(covered))),
        "keep this file as it is, and look: tarebook check. Go on from the last backup (tarebook restore)");
}

}  // namespace tarebook
