#include "quarantine.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

// A row without lines takes room too.
constexpr std::int64_t row_bytes = quarantine_row_bytes;

std::int64_t room_left(Book::Impl& book) {
    return most_quarantined - book.db.integer("SELECT coalesce(sum(bytes), 0) FROM quarantine").value_or(0);
}

void insert(Book::Impl& book, const Waiting& one, Instant now, bool with_lines) {
    book.db.run("DELETE FROM quarantine WHERE book = ? AND key = ? AND first = ? AND digest = ?", one.book, one.key,
                one.first, one.head.digest);
    book.db.run(
        "INSERT INTO quarantine(book, key, first, last, digest, signature, received, bytes, lines) VALUES "
        "(?, ?, ?, ?, ?, ?, ?, ?, ?)",
        one.book, one.key, one.first, one.head.seq, one.head.digest, Bytes{one.signature}, seconds_of(now),
        row_bytes + (with_lines ? static_cast<std::int64_t>(one.lines->size()) : 0),
        with_lines ? one.lines : std::nullopt);
}

}  // namespace

Kept keep_waiting(Book::Impl& book, const Waiting& one, Instant now) {
    auto known = book.db.ask(
        "SELECT lines IS NOT NULL, last FROM quarantine WHERE book = ? AND key = ? AND first = ? AND (digest = ? OR "
        "first = 0) ORDER BY last DESC LIMIT 1",
        one.book, one.key, one.first, one.head.digest);
    const bool here = known.next();
    const bool whole = here && known.integer(0) != 0;
    const bool later = here && one.is_register() && known.integer(1) < one.head.seq;
    if (whole && !later) return Kept::already;
    book.db.run("DELETE FROM quarantine WHERE received < ?", seconds_of(now - longest_quarantined));
    if (later) {  // of several registers the latest one is kept
        book.db.run("DELETE FROM quarantine WHERE book = ? AND key = ? AND first = 0", one.book, one.key);
    }
    const auto left = room_left(book);
    if (one.lines && row_bytes + static_cast<std::int64_t>(one.lines->size()) <= left) {
        insert(book, one, now, true);
        return Kept::as_it_came;
    }
    if (here && !later) return Kept::already;  // no less than before
    if (row_bytes > left) return Kept::not_at_all;
    insert(book, one, now, false);
    return Kept::without_lines;
}

void forget_waiting(Book::Impl& book, std::int64_t id) {
    book.db.run("DELETE FROM quarantine WHERE id = ?", id);
}

bool forget_arrived(Book::Impl& book, const BookId& id, std::int64_t first, const Digest& digest) {
    return book.db.run("DELETE FROM quarantine WHERE book = ? AND first >= ? AND digest = ?", id,
                       std::max<std::int64_t>(first, 1), digest) > 0;
}

std::vector<Waiting> waiting(Book::Impl& book, const std::optional<BookId>& id) {
    std::vector<Waiting> out;
    auto s = book.db.ask(
        "SELECT id, book, key, first, last, digest, signature, lines IS NOT NULL, CASE WHEN book = ?1 THEN lines END "
        "FROM "
        "quarantine WHERE book = ?1 OR length(?1) = 0 ORDER BY book, first, last, key, digest",
        id ? bytes_of(*id) : Bytes{});
    while (s.next()) {
        Waiting one;
        one.id = s.integer(0);
        one.book = s.fixed<16>(1);
        one.key = s.text(2);
        one.first = s.integer(3);
        one.head = {s.integer(4), s.digest(5)};
        one.signature = s.text(6);
        one.kept = s.integer(7) != 0;
        if (!s.is_null(8)) one.lines = s.text(8);
        out.push_back(std::move(one));
    }
    return out;
}

bool each_waiting(const Waiting& one,
                  const std::function<void(const Event&, std::string_view body, const Digest&)>& visit) {
    if (!one.lines || !head_signature_holds(one.key, one.book, one.head.seq, one.head.digest, one.signature))
        return false;
    Head last{one.first - 1, {}};
    for (const auto line : split(*one.lines, '\n')) {
        const auto event = event_from_line(line);
        if (!event || event->book != one.book || event->seq != last.seq + 1) return false;
        if (event->seq != one.first && event->previous != last.digest) return false;
        last = {event->seq, digest_of(line)};
        visit(*event, line, last.digest);
    }
    return last.seq == one.head.seq && last.digest == one.head.digest;
}

bool holds(const Waiting& one) {
    if (one.is_register())
        return (!one.lines || digest_of(*one.lines) == one.head.digest) &&
               (one.signature.empty() ||
                register_signature_holds(one.key, one.book, one.head.seq, one.head.digest, one.signature));
    if (!one.lines) return head_signature_holds(one.key, one.book, one.head.seq, one.head.digest, one.signature);
    return each_waiting(one, [](const Event&, std::string_view, const Digest&) {});
}

}  // namespace tarebook
