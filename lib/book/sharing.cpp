// What a book has of itself and of others, for devices that share a folder: what each of them lacks follows from it.
#include <fmt/format.h>

#include <algorithm>

#include "impl.hpp"
#include "snapshot.hpp"

namespace tarebook {
namespace {

std::optional<Book::RestoredFrom> restored_in(Book::Impl& book, std::int64_t origin) {
    auto s = book.db.ask("SELECT body FROM event WHERE origin = ? AND seq = 1", origin);
    if (!s.next()) return std::nullopt;
    const auto event = event_from_body(s.text(0));
    const auto* start = event ? std::get_if<kinds::Start>(&event->what) : nullptr;
    if (!start || !start->restored || start->restored->size() < 32) return std::nullopt;
    const auto from = book_id_from_hex(std::string_view(*start->restored).substr(0, 32));
    return from ? std::optional(Book::RestoredFrom{*from, event->recorded}) : std::nullopt;
}

bool is_gapless(Book::Impl& book, std::int64_t origin, std::int64_t first, std::int64_t until) {
    for (auto at = origin; at != 0;) {
        const auto& known = book.origins.at(at);
        const auto from = std::max(first, known.parent_seq + 1);
        if (from <= until) {
            const auto there = book.db.integer("SELECT count(*) FROM event WHERE origin = ? AND seq >= ? AND seq <= ?",
                                               at, from, until);
            if (there.value_or(0) != until - from + 1) return false;
        }
        if (from == first) return true;
        until = known.parent_seq;
        at = known.parent;
    }
    return false;
}

bool holds_run(Book::Impl& book, const BookId& id, std::int64_t first, const Head& last, Book::Holding what) {
    // Branches of one book have numbers that follow each other.
    const auto begin = book.origins.lower_bound(origin_id(id)), end = book.origins.upper_bound(origin_id(id, 0xFFFF));
    return std::any_of(begin, end, [&](const auto& one) {
        const auto& [origin, known] = one;
        if (known.book != id || (known.is_apart() && what == Book::Holding::admitted)) return false;
        return book.db.digest("SELECT digest FROM event WHERE origin = ? AND seq = ?", origin, last.seq) ==
                   last.digest &&
               is_gapless(book, origin, first, last.seq);
    });
}

}  // namespace

std::vector<Book::TrustedBook> Book::trusted() const {
    return guarded(*impl_, [&] {
        std::vector<TrustedBook> out;
        for (const auto& [id, known] : trusted_books(*impl_)) {
            TrustedBook one{id, known.called, known.key, known.withdrawn, {}, restored_in(*impl_, origin_id(id))};
            if (known.last) one.last = Head{known.last->first, known.last->second};
            out.push_back(std::move(one));
        }
        std::sort(out.begin(), out.end(),
                  [](const auto& a, const auto& b) { return std::tie(a.called, a.id) < std::tie(b.called, b.id); });
        return out;
    });
}

std::optional<Book::RestoredFrom> Book::restored_from() const {
    return guarded(*impl_, [&] { return restored_in(*impl_, origin_id(impl_->info.id)); });
}

std::vector<Book::HeldBook> Book::held() const {
    std::set<BookId> wanted;
    for (const auto& one : trusted())
        if (!one.withdrawn && one.id != impl_->info.id) wanted.insert(one.id);
    std::vector<HeldBook> out;
    for (const auto& run : chain_runs(false))
        if (wanted.contains(run.end.book) && run.branch < first_apart && holds(run.end.book, 1, run.end.head))
            out.push_back({run.end.book, run.end.head});
    for (const auto& one : out) wanted.erase(one.id);
    for (const auto& id : wanted) out.push_back({id, {}});
    return out;
}

bool Book::holds(const BookId& book, std::int64_t first, const Head& last, Holding what) const {
    return guarded(*impl_, [&] { return holds_run(*impl_, book, first, last, what); });
}

std::optional<Digest> Book::own_digest_at(std::int64_t seq) const {
    return guarded(*impl_, [&]() -> std::optional<Digest> {
        auto at = impl_->own_origin;
        while (at != 0 && seq <= impl_->origins.at(at).parent_seq) at = impl_->origins.at(at).parent;
        return impl_->db.digest("SELECT digest FROM event WHERE origin = ? AND seq = ?", at, seq);
    });
}

std::optional<Head> Book::register_held(const BookId& book, std::string_view public_key) const {
    return guarded(*impl_, [&]() -> std::optional<Head> {
        auto s = impl_->db.ask("SELECT value FROM book WHERE name = ?", snapshot_note(book, public_key));
        return s.next() ? head_from(s.bytes(0)) : std::nullopt;
    });
}

Book::News Book::news_since(std::int64_t seq) const {
    return guarded(*impl_, [&] {
        auto s = impl_->db.ask_once(
            fmt::format("SELECT count(*), coalesce(min(seq), 0), coalesce(max(seq), 0) FROM event WHERE {} AND seq > "
                        "?1 AND kind NOT IN ('merge', 'typist')",
                        impl_->own_path_sql()));
        s.with(seq);
        News out;
        if (s.next()) out = {s.integer(0), s.integer(1), s.integer(2)};
        return out;
    });
}

std::int64_t Book::last_news() const {
    return guarded(*impl_, [&] {
        return impl_->db
            .integer(
                "SELECT seq FROM event WHERE origin = ? AND kind NOT IN ('merge', 'typist') ORDER BY seq DESC LIMIT 1",
                impl_->own_origin)
            .value_or(impl_->origins.at(impl_->own_origin).parent_seq);
    });
}

}  // namespace tarebook
