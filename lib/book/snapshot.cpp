#include "snapshot.hpp"

#include <fmt/format.h>

#include <set>

#include "building.hpp"

namespace tarebook {

bool keep_snapshot(Book::Impl& book, const BookId& sender, const std::string& public_key, std::int64_t seq,
                   std::string_view body) {
    auto& s = book.db.statement("SELECT seq FROM snapshot WHERE book = ? AND key = ?");
    bind_bytes(s, 1, sender);
    s.bind(2, public_key);
    const bool later = s.executeStep() && s.getColumn(0).getInt64() >= seq;
    s.reset();
    if (later) return false;
    auto& put = book.db.statement("INSERT OR REPLACE INTO snapshot(book, key, seq, body) VALUES (?, ?, ?, ?)");
    bind_bytes(put, 1, sender);
    put.bind(2, public_key);
    put.bind(3, seq);
    put.bind(4, std::string(body));
    done(put);
    set_info(book.db, snapshot_note(sender, public_key).c_str(), head_text({seq, digest_of(body)}));
    return true;
}

std::string snapshot_note(const BookId& sender, std::string_view public_key) {
    return fmt::format("register_{}_{}", hex(sender), public_key);
}

namespace {
// What the own book said, or an event that is here, needs nobody else's word for it.
bool is_here(Book::Impl& book, const Event& entry) {
    if (entry.book == book.info.id) return true;
    auto& s = bound(book.db.statement("SELECT 1 FROM event WHERE origin = ? AND seq = ?"), origin_of(entry.order()),
                    entry.seq);
    const bool out = s.executeStep();
    s.reset();
    return out;
}
}  // namespace

namespace {
void each_line(Book::Impl& book, const std::function<void(const Event&)>& visit) {
    std::vector<std::string> bodies;
    {
        const auto trusted = trusted_books(book);
        auto& s = book.db.statement("SELECT book, key, body FROM snapshot ORDER BY book");
        while (s.executeStep()) {
            const auto it = trusted.find(bytes_of<16>(s.getColumn(0)));
            if (it != trusted.end() && !it->second.withdrawn && it->second.key == s.getColumn(1).getString())
                bodies.push_back(s.getColumn(2).getString());
        }
        s.reset();
    }
    for (const auto& body : bodies)
        for (std::string_view rest = body; !rest.empty();) {
            const auto line = rest.substr(0, rest.find('\n'));
            rest.remove_prefix(std::min(rest.size(), line.size() + 1));
            const auto event = event_from_body(line);
            if (event) visit(*event);
        }
}
}  // namespace

void number_books_of_snapshots(Book::Impl& book) {
    std::set<BookId> fresh;
    each_line(book, [&](const Event& entry) {
        if (!book.origins.contains(origin_id(entry.book))) fresh.insert(entry.book);
    });
    for (const auto& id : fresh) {
        auto& o = book.db.statement("INSERT OR IGNORE INTO origin(id, book, branch) VALUES (?, ?, 0)");
        o.bind(1, origin_id(id));
        bind_bytes(o, 2, id);
        done(o);
    }
    if (!fresh.empty()) book.read_origins();
}

void each_snapshot_entry(Book::Impl& book, const std::function<void(const Event&)>& visit) {
    each_line(book, [&](const Event& entry) {
        const auto known = book.origins.find(origin_of(entry.order()));
        if (known != book.origins.end() && known->second.book == entry.book && !is_here(book, entry)) visit(entry);
    });
}

}  // namespace tarebook
