#include "quarantine.hpp"

#include "scan.hpp"

namespace tarebook {
namespace {

// A row without lines takes room too.
constexpr std::int64_t row_bytes = quarantine_row_bytes;

std::int64_t room_left(Book::Impl& book) {
    return most_quarantined - book.db.raw().execAndGet("SELECT coalesce(sum(bytes), 0) FROM quarantine").getInt64();
}

void insert(Book::Impl& book, const Waiting& one, Instant now, bool with_lines) {
    auto& s = book.db.statement(
        "INSERT OR REPLACE INTO quarantine(book, key, first, last, digest, signature, received, bytes, lines) VALUES "
        "(?, ?, ?, ?, ?, ?, ?, ?, ?)");
    bind_bytes(s, 1, one.book);
    s.bind(2, one.key);
    s.bind(3, one.first);
    s.bind(4, one.head.seq);
    bind_bytes(s, 5, one.head.digest);
    s.bind(6, one.signature.data(), static_cast<int>(one.signature.size()));
    s.bind(7, seconds_of(now));
    s.bind(8, row_bytes + (with_lines ? static_cast<std::int64_t>(one.lines->size()) : 0));
    if (with_lines)
        s.bind(9, *one.lines);
    else
        s.bind(9);
    done(s);
}

}  // namespace

Kept keep_waiting(Book::Impl& book, const Waiting& one, Instant now) {
    auto& known = book.db.statement(
        "SELECT lines IS NOT NULL, last FROM quarantine WHERE book = ? AND key = ? AND first = ? AND (digest = ? OR "
        "first = 0) ORDER BY last DESC LIMIT 1");
    bind_bytes(known, 1, one.book);
    known.bind(2, one.key);
    known.bind(3, one.first);
    bind_bytes(known, 4, one.head.digest);
    const bool here = known.executeStep();
    const bool whole = here && known.getColumn(0).getInt() != 0;
    const bool later = here && one.is_register() && known.getColumn(1).getInt64() < one.head.seq;
    known.reset();
    if (whole && !later) return Kept::already;
    done(bound(book.db.statement("DELETE FROM quarantine WHERE received < ?"), seconds_of(now - longest_quarantined)));
    if (later) {  // of a register the last one stands
        auto& s = book.db.statement("DELETE FROM quarantine WHERE book = ? AND key = ? AND first = 0");
        bind_bytes(s, 1, one.book);
        s.bind(2, one.key);
        done(s);
    }
    const auto left = room_left(book);
    if (one.lines && row_bytes + static_cast<std::int64_t>(one.lines->size()) <= left) {
        insert(book, one, now, true);
        return Kept::as_it_came;
    }
    if (here && !later) return Kept::already;  // as little as before
    if (row_bytes > left) return Kept::not_at_all;
    insert(book, one, now, false);
    return Kept::without_lines;
}

void forget_waiting(Book::Impl& book, std::int64_t id) {
    done(bound(book.db.statement("DELETE FROM quarantine WHERE id = ?"), id));
}

bool forget_arrived(Book::Impl& book, const BookId& id, std::int64_t first, const Digest& digest) {
    auto& s = book.db.statement("DELETE FROM quarantine WHERE book = ? AND first >= max(?, 1) AND digest = ?");
    bind_bytes(s, 1, id);
    s.bind(2, first);
    bind_bytes(s, 3, digest);
    const bool any = s.exec() > 0;
    s.reset();
    return any;
}

std::vector<Waiting> waiting(Book::Impl& book, const std::optional<BookId>& id) {
    std::vector<Waiting> out;
    auto& s = book.db.statement(
        "SELECT id, book, key, first, last, digest, signature, lines IS NOT NULL, CASE WHEN ?1 IS NOT NULL THEN lines "
        "END FROM quarantine WHERE ?1 IS NULL OR book = ?1 ORDER BY book, first, last, key, digest");
    if (id)
        bind_bytes(s, 1, *id);
    else
        s.bind(1);
    while (s.executeStep()) {
        Waiting one;
        one.id = s.getColumn(0).getInt64();
        one.book = bytes_of<16>(s.getColumn(1));
        one.key = s.getColumn(2).getString();
        one.first = s.getColumn(3).getInt64();
        one.head = {s.getColumn(4).getInt64(), bytes_of<32>(s.getColumn(5))};
        one.signature = s.getColumn(6).getString();
        one.kept = s.getColumn(7).getInt() != 0;
        if (!s.getColumn(8).isNull()) one.lines = s.getColumn(8).getString();
        out.push_back(std::move(one));
    }
    s.reset();
    return out;
}

bool anything_waits(Book::Impl& book, const BookId& id) {
    auto& s = book.db.statement("SELECT 1 FROM quarantine WHERE book = ? LIMIT 1");
    bind_bytes(s, 1, id);
    const bool out = s.executeStep();
    s.reset();
    return out;
}

bool each_waiting(const Waiting& one,
                  const std::function<void(const Event&, std::string_view body, const Digest&)>& visit) {
    if (!one.lines || !head_signature_holds(one.key, one.book, one.head.seq, one.head.digest, one.signature))
        return false;
    Head last{one.first - 1, {}};
    for (std::string_view rest = *one.lines; !rest.empty();) {
        const auto line = rest.substr(0, rest.find('\n'));
        rest.remove_prefix(std::min(rest.size(), line.size() + 1));
        const auto event = event_from_line(line);
        if (!event || event->book != one.book || event->seq != last.seq + 1) return false;
        if (event->seq != one.first && event->previous != last.digest) return false;
        last = {event->seq, digest_of(line)};
        visit(*event, line, last.digest);
    }
    return last.seq == one.head.seq && last.digest == one.head.digest;
}

bool holds(const Waiting& one) {
    if (!one.lines)
        return one.is_register() ||
               head_signature_holds(one.key, one.book, one.head.seq, one.head.digest, one.signature);
    if (one.is_register()) return digest_of(*one.lines) == one.head.digest;
    return each_waiting(one, [](const Event&, std::string_view, const Digest&) {});
}

}  // namespace tarebook
