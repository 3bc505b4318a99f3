#include "tarebook/merge.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "adopt.hpp"
#include "branches.hpp"
#include "event_writer.hpp"
#include "own_end.hpp"
#include "snapshot.hpp"
#include "work.hpp"

namespace tarebook {
namespace {

constexpr std::size_t most_branches = 64;

Error not_merged(std::string name, std::string what, std::string seen, std::string expected, std::string next) {
    return {ErrorKind::refused, std::move(name),     std::move(what),
            std::move(seen),    std::move(expected), std::move(next)};
}

}  // namespace

struct Merging::Work {
    explicit Work(Book::Impl& b)
        : book(b),
          open(b),
          insert(
              b.db,
              "INSERT INTO event(rowid, origin, seq, at, day, kind, job, own_id, digest, body) VALUES (?, ?, ?, ?, ?, "
              "?, ?, ?, ?, ?)") {
        auto& s = book.db.statement("SELECT coalesce(max(rowid), 0) FROM event");
        if (s.executeStep()) next_row = s.getColumn(0).getInt64() + 1;
        s.reset();
        // each truck walks over the years again: the indexes over time and own ids stay in memory
        book.db.run("PRAGMA cache_size = -65536");
    }

    // What lies at a place of a branch; nothing where there is nothing.
    std::optional<Digest> digest_at(std::int64_t origin, std::int64_t seq) {
        auto& s = bound(book.db.statement("SELECT digest FROM event WHERE origin = ? AND seq = ?"), origin, seq);
        std::optional<Digest> out;
        if (s.executeStep()) out = bytes_of<32>(s.getColumn(0));
        s.reset();
        return out;
    }
    Digest previous_of(std::int64_t origin, std::int64_t seq) {
        auto& s = bound(book.db.statement("SELECT body FROM event WHERE origin = ? AND seq = ?"), origin, seq);
        std::string body;
        if (s.executeStep()) body = s.getColumn(0).getString();
        s.reset();
        const auto event = event_from_body(body);
        return event ? event->previous : Digest{};
    }
    std::int64_t last_of(std::int64_t origin) {
        const auto [it, fresh] = last_.try_emplace(origin, 0);
        if (fresh) {
            auto& s = bound(book.db.statement("SELECT coalesce(max(seq), 0) FROM event WHERE origin = ?"), origin);
            if (s.executeStep()) it->second = s.getColumn(0).getInt64();
            s.reset();
        }
        return it->second;
    }
    // Those of the book whose segment came last; a bundle tells of one book after another.
    const std::vector<std::int64_t>& branches_of(const BookId& id) {
        if (!branches_ || branches_->first != id) {
            branches_.emplace(id, std::vector<std::int64_t>());
            for (const auto& [origin, known] : book.origins)
                if (known.book == id) branches_->second.push_back(origin);
        }
        return branches_->second;
    }
    // Whether the event may stand there without contradicting what is around it.
    bool fits(std::int64_t origin, const Event& e, const Digest& digest) {
        const auto last = last_of(origin);
        const auto parent_seq = book.origins.at(origin).parent_seq;
        if (e.seq <= parent_seq) return false;
        if (e.seq <= last && digest_at(origin, e.seq)) return false;
        if (e.seq - 1 > parent_seq && e.seq - 1 <= last)
            if (const auto before = digest_at(origin, e.seq - 1); before && *before != e.previous) return false;
        return e.seq >= last || !digest_at(origin, e.seq + 1) || previous_of(origin, e.seq + 1) == digest;
    }

    // The own chain grows by recording alone: what comes in for it is a branch beside it, whoever signed it.
    bool may_grow(std::int64_t origin) const { return origin != book.own_origin; }

    Result<std::int64_t> place_of(const Event& e, const Digest& digest) {
        const auto& branches = branches_of(e.book);
        std::int64_t parent = 0;
        for (const auto origin : branches) {
            if (e.seq > 1 && digest_at(origin, e.seq - 1) == e.previous) {
                parent = origin;
                if (may_grow(origin) && fits(origin, e, digest)) return origin;
            }
        }
        if (parent == 0)
            for (const auto origin : branches)
                if (may_grow(origin) && fits(origin, e, digest)) return origin;
        if (branches.size() >= most_branches)
            return fail(not_merged(
                "too-many-branches",
                fmt::format("book {} would get more than {} branches", hex(e.book).substr(0, 12), most_branches),
                fmt::format("event {}", e.seq), "a book that few copies went on from",
                "withdraw the trust in that book, and start a new one on its device"));
        const auto number = branches.empty() ? 0 : book.origins.at(branches.back()).branch + 1;
        const auto origin = origin_id(e.book, static_cast<std::uint16_t>(number));
        auto& s = book.db.statement("INSERT INTO origin(id, book, branch, parent, parent_seq) VALUES (?, ?, ?, ?, ?)");
        s.bind(1, origin);
        bind_bytes(s, 2, e.book);
        s.bind(3, static_cast<std::int64_t>(number));
        s.bind(4, parent);
        s.bind(5, parent == 0 ? 0 : e.seq - 1);
        done(s);
        book.origins[origin] = {e.book, static_cast<std::uint16_t>(number), 0, parent, parent == 0 ? 0 : e.seq - 1};
        branches_.reset();
        if (number > 0) now_->new_branch = true;
        return origin;
    }

    Book::Impl& book;
    Book::Transaction::Work open;
    Insert insert;
    std::int64_t next_row = 1;
    std::vector<MergedBook> books;
    MergedBook* now_ = nullptr;
    std::int64_t origin_ = 0;  // of the last event that came
    std::optional<std::pair<BookId, std::vector<std::int64_t>>> branches_;
    bool snapshots_changed = false, register_counts = true;
    std::map<std::int64_t, std::int64_t> last_;
    ReadEvents read;  // of the new ones, as many as memory shall hold
};

Merging::Merging(Book& book) {
    work_ = guarded(*book.impl_, [&] {
        auto work = std::make_unique<Work>(*book.impl_);
        refuse_unsigned_end(*book.impl_);
        return work;
    });
}
Merging::Merging(Merging&&) noexcept = default;
Merging::~Merging() = default;

Result<void> Merging::segment(const Segment& segment) {
    return guarded(work_->book, [&]() -> Result<void> {
        auto& w = *work_;
        for (const auto& [origin, known] : w.book.origins)
            if (known.book != segment.book && origin >> 16 == origin_id(segment.book) >> 16)
                return fail(not_merged("books-look-alike", "the ids of two books begin with the same 47 bits",
                                       hex(segment.book), "an id that was made at random",
                                       "start a new book on that device, and send that"));
        w.books.emplace_back().book = segment.book;
        w.now_ = &w.books.back();
        w.origin_ = 0;
        return {};
    });
}

Result<void> Merging::event(const Event& e, std::string_view body, const Digest& digest) {
    return guarded(work_->book, [&]() -> Result<void> {
        auto& w = *work_;
        ++w.now_->events;
        // mostly the chain goes on where it went on before
        const bool at_the_end = w.origin_ != 0 && w.may_grow(w.origin_) && w.branches_of(e.book).size() == 1 &&
                                e.seq > w.last_of(w.origin_);
        if (!at_the_end)
            for (const auto origin : w.branches_of(e.book))
                if (w.digest_at(origin, e.seq) == digest) {
                    w.origin_ = origin;
                    return {};
                }
        if (!at_the_end || e.seq != w.last_of(w.origin_) + 1) {
            const auto origin = w.place_of(e, digest);
            if (!origin) return fail(origin.error());
            w.origin_ = *origin;
        }
        try {
            w.insert.row(w.next_row++, w.origin_, e.seq, seconds_of(e.when.at),
                         static_cast<std::int64_t>(e.when.date().time_since_epoch().count()), e.kind(), e.job, e.own_id,
                         Insert::Bytes{{reinterpret_cast<const char*>(digest.data()), digest.size()}}, body);
        } catch (const SQLite::Exception& error) {
            if ((error.getErrorCode() & 0xff) != SQLITE_CONSTRAINT) throw;
            return fail(not_merged(
                "own-id-twice", fmt::format("book {} gives one own id to two events", hex(e.book).substr(0, 12)),
                e.own_id.value_or(""), "an own id that names one event of its book",
                "the bundle was not made by Tarebook, or its book is damaged: tarebook check there"));
        }
        w.last_[w.origin_] = std::max(w.last_of(w.origin_), e.seq);
        constexpr std::size_t most_in_memory = 50'000;
        if (w.read.size() < most_in_memory) w.read.emplace(w.next_row - 1, e);
        ++w.now_->added;
        return {};
    });
}

void Merging::head(const Head& head, std::string_view signature) {
    guarded(work_->book, [&] {
        auto& w = *work_;
        w.now_->head = head;
        if (w.book.is_own(w.origin_, head.seq)) return;  // the own heads are those that were signed here
        auto& s =
            bound(w.book.db.statement("INSERT OR IGNORE INTO head(origin, seq, digest, signature) VALUES (?, ?, ?, ?)"),
                  w.origin_, head.seq);
        bind_bytes(s, 3, head.digest);
        s.bind(4, signature.data(), static_cast<int>(signature.size()));
        done(s);
    });
}

void Merging::snapshot(const BookId& book, const std::string& public_key, std::int64_t seq, std::string_view body) {
    guarded(work_->book, [&] {
        if (!keep_snapshot(work_->book, book, public_key, seq, body)) return;
        work_->snapshots_changed = true;
        const auto trusted = trusted_books(work_->book);
        const auto it = trusted.find(book);
        work_->register_counts =
            work_->register_counts && it != trusted.end() && !it->second.withdrawn && it->second.key == public_key;
    });
}

namespace {

std::vector<std::pair<std::int64_t, std::int64_t>> missing_of(Book::Impl& book, const BookId& id) {
    std::vector<std::pair<std::int64_t, std::int64_t>> out;
    for (const auto& [origin, known] : book.origins) {
        if (known.book != id) continue;
        auto& s = bound(book.db.statement("SELECT seq, lag(seq, 1, ?2) OVER (ORDER BY seq) AS before FROM event WHERE "
                                          "origin = ?1"),
                        origin, known.parent_seq);
        while (s.executeStep())
            if (s.getColumn(0).getInt64() > s.getColumn(1).getInt64() + 1)
                out.emplace_back(s.getColumn(1).getInt64() + 1, s.getColumn(0).getInt64() - 1);
        s.reset();
    }
    return out;
}

}  // namespace

Merged Merging::commit(const Evaluator& evaluator, const Moment& now) {
    return guarded(work_->book, [&] {
        auto& w = *work_;
        auto& book = w.book;
        Merged out;
        for (const auto& one : w.books) out.added += one.added;
        const auto first_new = w.next_row - out.added;
        // what a register said of an event that comes now is that event's own word from now on
        bool anew = w.snapshots_changed ||
                    (out.added > 0 && book.db.raw().execAndGet("SELECT EXISTS (SELECT 1 FROM snapshot)").getInt() != 0);
        std::set<BookId> seen;
        for (const auto& one : w.books)
            if (one.added > 0 && seen.insert(one.book).second && branch_count(book, one.book) > 1) {
                number_branches(book, one.book);
                anew = true;
            }
        book.read_origins();
        const auto own_head = [&] {
            auto& s =
                bound(book.db.statement("SELECT seq, digest FROM event WHERE origin = ? ORDER BY seq DESC LIMIT 1"),
                      book.own_origin);
            Head head;
            if (s.executeStep()) head = {s.getColumn(0).getInt64(), bytes_of<32>(s.getColumn(1))};
            s.reset();
            return head;
        };
        out.own_head = own_head();
        auto counted = recount(book);
        // what fills a gap lies below what counts already
        Scan fresh(book.db,
                   "SELECT e.rowid FROM event e JOIN origin o ON o.id = e.origin WHERE e.rowid >= ?1 AND (e.seq <= "
                   "o.counted_to OR o.id = ?2)");
        for (fresh.with(1, first_new).with(2, book.own_origin); fresh.next();) counted.rows.push_back(fresh.integer(0));
        std::sort(counted.rows.begin(), counted.rows.end());
        counted.rows.erase(std::unique(counted.rows.begin(), counted.rows.end()), counted.rows.end());
        out.counted = static_cast<std::int64_t>(counted.rows.size());
        keep_uncounted(book, first_new);
        if (anew)
            project_all(book, evaluator);
        else if (!counted.rows.empty() || !counted.gone.empty())
            project(book, evaluator, std::move(counted), w.read);
        std::string heads;
        for (auto& one : w.books) {
            one.missing = missing_of(book, one.book);
            for (const auto& [origin, known] : book.origins)
                one.counts = one.counts || (known.book == one.book &&
                                            (known.counted_to > 0 || (origin == book.own_origin && one.added == 0)));
            heads += fmt::format("{}{}:{}", heads.empty() ? "" : " ", hex(one.book), head_text(one.head));
        }
        auto& added = bound(book.db.statement("SELECT count(*) FROM uncounted WHERE by = 0 AND event >= ?"), first_new);
        if (added.executeStep()) out.not_counted = added.getColumn(0).getInt64();
        added.reset();
        out.quarantined = book.db.raw().execAndGet("SELECT count(*) FROM uncounted WHERE by = 0").getInt64();
        // also where a head alone came that makes count what was here: whoever keeps a look at the book sees it by this
        if (out.added > 0 || out.counted > 0) {
            Event e;
            e.book = book.info.id;
            e.branch = book.own_branch;
            e.seq = out.own_head.seq + 1;
            e.previous = out.own_head.digest;
            e.when = now;
            e.recorded = now.at;
            e.what = kinds::Merge{heads};
            const auto digest = EventWriter(book).write(w.next_row, e);
            sign_head(book, e.seq, digest);
            out.own_head = {e.seq, digest};
        }
        out.register_came = w.snapshots_changed;
        out.register_counts = w.snapshots_changed && w.register_counts;
        out.books = std::move(w.books);
        w.open.open = false;
        if (out.added > 0 || w.snapshots_changed || out.counted > 0)
            commit_transaction(book, out.own_head.seq);
        else
            book.db.run("ROLLBACK");
        return out;
    });
}

}  // namespace tarebook
