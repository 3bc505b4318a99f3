#include "snapshot.hpp"

#include <fmt/format.h>

#include <set>

#include "atomic_book_file.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {

bool keep_snapshot(Book::Impl& book, const BookId& sender, const std::string& public_key, std::int64_t seq,
                   std::string_view body) {
    auto s = book.db.ask("SELECT seq FROM snapshot WHERE book = ? AND key = ?", sender, public_key);
    const bool later = s.next() && s.integer(0) >= seq;
    if (later) return false;
    book.db.run(
        "INSERT INTO snapshot(book, key, seq, body) VALUES (?, ?, ?, ?) ON CONFLICT (book, key) DO UPDATE SET seq = "
        "excluded.seq, body = excluded.body",
        sender, public_key, seq, std::string(body));
    set_info(book.db, snapshot_note(sender, public_key).c_str(), head_text({seq, digest_of(body)}));
    return true;
}

std::string snapshot_note(const BookId& sender, std::string_view public_key) {
    return fmt::format("register_{}_{}", hex(sender), public_key);
}

namespace {
// True for an entry of the own book, or whose event is in the file: then the snapshot of another book is not used for
// it.
bool is_here(Book::Impl& book, const Event& entry) {
    if (entry.book == book.info.id) return true;
    return book.db.any("SELECT 1 FROM event WHERE origin = ? AND seq = ?", origin_of(entry.order()), entry.seq);
}
}  // namespace

namespace {
void each_line(Book::Impl& book, const std::function<void(const Event&)>& visit) {
    std::vector<std::string> bodies;
    {
        const auto trusted = trusted_books(book);
        auto s = book.db.ask("SELECT book, key, body FROM snapshot ORDER BY book");
        while (s.next()) {
            const auto it = trusted.find(s.fixed<16>(0));
            if (it != trusted.end() && !it->second.withdrawn && it->second.key == s.text(1))
                bodies.push_back(s.text(2));
        }
    }
    for (const auto& body : bodies)
        for (const auto line : split(body, '\n'))
            if (const auto event = event_from_body(line)) visit(*event);
}
}  // namespace

void number_books_of_snapshots(Book::Impl& book) {
    std::set<BookId> fresh;
    each_line(book, [&](const Event& entry) {
        if (!book.origins.contains(origin_id(entry.book))) fresh.insert(entry.book);
    });
    for (const auto& id : fresh) {
        book.db.run("INSERT INTO origin(id, book, branch) VALUES (?, ?, 0) ON CONFLICT DO NOTHING", origin_id(id), id);
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
