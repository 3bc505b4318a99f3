#include "own_end.hpp"

#include <fmt/format.h>

namespace tarebook {

Head own_end(Book::Impl& book) {
    auto s = book.db.ask("SELECT seq, digest FROM event WHERE origin = ? ORDER BY seq DESC LIMIT 1", book.own_origin);
    return s.next() ? Head{s.integer(0), s.digest(1)} : Head{};
}

std::int64_t last_signed(Book::Impl& book) {
    // On an earlier branch the own chain ends with the event that the later branch follows.
    std::int64_t until = INT64_MAX;
    for (auto origin = book.own_origin; origin != 0;) {
        auto s = book.db.ask(
            "SELECT h.seq, h.digest, h.signature, e.digest FROM head h JOIN event e ON e.origin = h.origin AND e.seq = "
            "h.seq WHERE h.origin = ? AND h.seq <= ? ORDER BY h.seq DESC",
            origin, until);
        while (s.next())
            if (s.bytes(1) == s.bytes(3) && head_signature_holds(book.info.public_key, book.info.id, s.integer(0),
                                                                 digest_from(s.bytes(1)), s.bytes(2)))
                return s.integer(0);
        const auto& known = book.origins.at(origin);
        until = known.parent_seq;
        origin = known.parent;
    }
    return 0;
}

void refuse_unsigned_end(Book::Impl& book) {
    const auto last =
        book.db.integer("SELECT coalesce(max(seq), 0) FROM event WHERE origin = ?", book.own_origin).value_or(0);
    const auto covered = last == 0 ? 0 : last_signed(book);
    if (covered >= last) return;
    throw StorageError(
        fmt::format("{} is at the end of the book without a valid signed head: another program put it there, or the "
                    "file is damaged. Nothing was written.",
                    covered + 1 == last ? "event " + event_name(last)
                                        : fmt::format("what follows event {}", event_name(covered))),
        "keep this file as it is, and look: tarebook check. Go on from the last backup (tarebook restore)");
}

}  // namespace tarebook
