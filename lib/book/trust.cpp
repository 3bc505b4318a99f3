// Which events count. Trust is a book's own list: the events `trust` and `withdraw` of its own chain, and no word of a
// bundle. A pure function of the events in the file, the heads and that list (I5). Events that no trusted key covers
// are in quarantine and not among them.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "impl.hpp"

namespace tarebook {
namespace {

constexpr std::int64_t all = INT64_MAX;

struct Said {
    std::int64_t seq = 0;
    What what;
};

// The branches of one book.
std::vector<std::int64_t> branches_of(const Book::Impl& book, const BookId& id) {
    std::vector<std::int64_t> out;
    for (const auto& [origin, known] : book.origins)
        if (known.book == id) out.push_back(origin);
    return out;
}

class EffectiveEvents {
 public:
    explicit EffectiveEvents(Book::Impl& book) : book_(book), trusted_(trusted_books(book)) {}

    std::map<std::int64_t, std::int64_t> run(bool dropping) {
        for (const auto& [origin, known] : book_.origins) out_[origin] = 0;
        std::set<BookId> books;
        for (const auto& [origin, known] : book_.origins)
            if (books.insert(known.book).second) count_book(known.book);
        if (dropping) drop_branches();
        return std::move(out_);
    }

 private:
    void count_book(const BookId& id) {
        const bool own = id == book_.info.id;
        const auto it = trusted_.find(id);
        if (!own && it == trusted_.end()) return;
        const auto& key = own ? book_.info.public_key : it->second.key;
        const auto branches = branches_of(book_, id);
        for (const auto origin : branches)
            out_[origin] = own && book_.is_own(origin, 1 + book_.origins.at(origin).parent_seq) ? own_part(origin)
                                                                                                : covered(origin, key);
        // A head on a branch covers the events before the branch too.
        for (bool more = true; more;) {
            more = false;
            for (auto at = branches.rbegin(); at != branches.rend(); ++at) {
                const auto& known = book_.origins.at(*at);
                if (known.parent == 0 || out_[*at] <= known.parent_seq || out_[known.parent] >= known.parent_seq)
                    continue;
                out_[known.parent] = known.parent_seq;
                more = true;
            }
        }
        if (!own && it->second.withdrawn) withdraw(id, branches, it->second.last);
        // Events apart do not count while another book has their place in the order.
        for (const auto origin : branches)
            if (book_.origins.at(origin).is_apart() && looks_like_another(id)) out_[origin] = 0;
    }

    // Whether another book has the place of this one: its id begins with the same bits.
    [[nodiscard]] bool looks_like_another(const BookId& id) const {
        return std::any_of(book_.origins.begin(), book_.origins.end(), [&](const auto& one) {
            return one.first >> 16 == origin_id(id) >> 16 && one.second.book != id && !one.second.is_apart();
        });
    }

    // All of the own path counts: what is being recorded has no head yet.
    [[nodiscard]] std::int64_t own_part(std::int64_t origin) const {
        if (origin == book_.own_origin) return book_.own_effective_to.value_or(all);
        std::int64_t until = 0;
        for (auto at = book_.own_origin; at != 0 && at != origin; at = book_.origins.at(at).parent)
            until = book_.origins.at(at).parent_seq;
        // Beyond it, what a head of the other branch covers.
        return std::max(until, covered(origin, book_.info.public_key));
    }

    [[nodiscard]] std::int64_t covered(std::int64_t origin, const std::string& key) const {
        auto s = book_.db.walk("SELECT seq, digest, signature FROM head WHERE origin = ? ORDER BY seq DESC", origin);
        while (s.next())
            if (head_signature_holds(key, book_.origins.at(origin).book, s.integer(0), digest_from(s.bytes(1)),
                                     s.bytes(2)))
                return s.integer(0);
        return 0;
    }

    // The withdrawal names the last event that counts by its digest, and each event names the one before it: so they
    // count without a head.
    void withdraw(const BookId& id, const std::vector<std::int64_t>& branches,
                  const std::optional<std::pair<std::int64_t, Digest>>& last) {
        const auto kept = last ? path_to(book_, id, *last) : std::map<std::int64_t, std::int64_t>();
        for (const auto origin : branches) {
            const auto it = kept.find(origin);
            out_[origin] = it == kept.end() ? 0 : it->second;
        }
    }

    // A resolution that names the first event of a branch drops that branch. A resolution on a dropped branch has no
    // effect.
    void drop_branches() {
        if (book_.one_book()) return;
        for (const auto row : rows_of_kind(book_, kinds::Resolve::name)) {
            const auto stored = book_.load(row);
            const auto* k = std::get_if<kinds::Resolve>(&stored.event.what);
            if (!k || !k->finding.starts_with(branch_prefix)) continue;
            const auto from = origin_of(stored.event.order());
            if (stored.event.seq > out_[from]) continue;
            const auto named = digest_from_hex(std::string_view(k->finding).substr(branch_prefix.size()));
            if (!named) continue;
            drop(*named);
        }
    }
    void drop(const Digest& first) {
        auto s = book_.db.ask("SELECT origin, seq FROM event WHERE id = ?", book_.row_with_digest(first));
        std::int64_t origin = 0, seq = 0;
        if (s.next()) origin = s.integer(0), seq = s.integer(1);
        if (origin == 0 || book_.is_own(origin, seq) || !begins_branch(origin, seq)) return;
        out_[origin] = std::min(out_[origin], seq - 1);
        for (const auto branch : branches_of(book_, book_.origins.at(origin).book)) {
            // Branches that left it at that event or later are dropped with it.
            for (auto at = branch; book_.origins.at(at).parent != 0; at = book_.origins.at(at).parent)
                if (book_.origins.at(at).parent == origin && book_.origins.at(at).parent_seq >= seq) out_[branch] = 0;
        }
    }

    // Whether another branch goes on from the same place. Only then the event can be dropped.
    [[nodiscard]] bool begins_branch(std::int64_t origin, std::int64_t seq) const {
        if (const auto it = book_.branch_begins.find(origin); it != book_.branch_begins.end() && it->second.seq == seq)
            return true;
        return std::any_of(book_.branch_begins.begin(), book_.branch_begins.end(), [&](const auto& begin) {
            const auto& known = book_.origins.at(begin.first);
            if (known.parent != 0) return known.parent == origin && known.parent_seq == seq - 1;
            return known.book == book_.origins.at(origin).book && begin.second.seq == seq;
        });
    }

    Book::Impl& book_;
    std::map<BookId, Trusted> trusted_;
    std::map<std::int64_t, std::int64_t> out_;
};

}  // namespace

std::map<std::int64_t, std::int64_t> path_to(Book::Impl& book, const BookId& id,
                                             const std::pair<std::int64_t, Digest>& last) {
    std::map<std::int64_t, std::int64_t> out;
    for (const auto origin : branches_of(book, id)) {
        auto s = book.db.ask("SELECT digest FROM event WHERE origin = ? AND seq = ?", origin, last.first);
        const bool here = s.next() && s.digest(0) == last.second;
        if (!here) continue;
        auto until = last.first;
        for (auto at = origin; at != 0; at = book.origins.at(at).parent) {
            out[at] = until;
            until = std::min(until, book.origins.at(at).parent_seq);
        }
    }
    return out;
}

std::vector<std::int64_t> rows_of_kind(Book::Impl& book, std::string_view kind) {
    static const std::string sql =
        fmt::format("SELECT id FROM event WHERE {} AND kind = ? ORDER BY at, origin, seq", watched_kinds);
    return book.db.integers(sql.c_str(), kind);
}

std::set<BookId> books_ever_withdrawn(Book::Impl& book) {
    std::set<BookId> out;
    for (const auto row : rows_of_kind(book, kinds::Withdraw::name)) {
        const auto stored = book.load(row);
        const auto* k = std::get_if<kinds::Withdraw>(&stored.event.what);
        if (const auto id = k ? book_id_from_hex(k->book) : std::nullopt) out.insert(*id);
    }
    return out;
}

std::map<BookId, Trusted> trusted_books(Book::Impl& book) {
    std::vector<Said> said;
    for (const auto kind : {kinds::Trust::name, kinds::Withdraw::name})
        for (const auto row : rows_of_kind(book, kind)) {
            auto stored = book.load(row);
            if (book.is_own(origin_of(stored.event.order()), stored.event.seq) &&
                stored.event.seq <= book.own_effective_to.value_or(all))
                said.push_back({stored.event.seq, std::move(stored.event.what)});
        }
    std::sort(said.begin(), said.end(), [](const Said& a, const Said& b) { return a.seq < b.seq; });
    std::map<BookId, Trusted> out;
    for (const auto& one : said) {
        if (const auto* k = std::get_if<kinds::Trust>(&one.what)) {
            if (const auto id = book_id_from_hex(k->book)) out[*id] = {*id, k->called, k->key, k->from, false, {}, {}};
        } else if (const auto* w = std::get_if<kinds::Withdraw>(&one.what)) {
            const auto id = book_id_from_hex(w->book);
            if (!id || !out.contains(*id)) continue;
            auto& trusted = out[*id];
            trusted.withdrawn = true;
            trusted.why = w->why;
            trusted.last.reset();  // the latest withdrawal holds
            if (w->last)
                if (const auto head = head_from(*w->last)) trusted.last = {head->seq, head->digest};
        }
    }
    return out;
}

std::map<std::int64_t, std::int64_t> effective_origins(Book::Impl& book) {
    return EffectiveEvents(book).run(true);
}

std::map<std::int64_t, std::int64_t> admitted_origins(Book::Impl& book) {
    return EffectiveEvents(book).run(false);
}

}  // namespace tarebook
