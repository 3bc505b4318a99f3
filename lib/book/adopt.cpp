#include "adopt.hpp"

#include <algorithm>
#include <unordered_map>

#include "concerned.hpp"
#include "snapshot.hpp"
#include "table_sink.hpp"

namespace tarebook {
namespace {

struct DigestHash {
    std::size_t operator()(const Digest& digest) const {
        std::size_t out = 0;
        for (std::size_t i = 0; i < sizeof out; ++i) out = out << 8U | digest[i];
        return out;
    }
};

// Events by their rows.
class FreshRows : public FreshEvents {
 public:
    struct Row {
        std::int64_t row = 0;
        Place place;
    };
    FreshRows(Book::Impl& book, const ReadEvents& read)
        : book_(book), read_(read), body_(book.db, "SELECT body FROM event WHERE rowid = ?") {}
    std::vector<Row> rows;
    [[nodiscard]] std::size_t size() const override { return rows.size(); }
    [[nodiscard]] std::int64_t row(std::size_t p) const override { return rows[p].row; }
    [[nodiscard]] Place place(std::size_t p) const override { return rows[p].place; }
    void make(std::size_t p, Event& out) const override {
        if (const auto it = read_.find(rows[p].row); it != read_.end()) {
            out = it->second;
        } else {
            body_.again().with(1, rows[p].row);
            if (!body_.next()) throw StorageError("an event of the book is gone", "run: tarebook check");
            auto event = event_from_body(body_.bytes(0));
            if (!event)
                throw StorageError("an event of the book is damaged: " + event.error().seen, "run: tarebook check");
            out = std::move(*event);
        }
        out.branch = book_.origins.at(rows[p].place.origin).branch;
    }

 private:
    Book::Impl& book_;
    const ReadEvents& read_;
    mutable Scan body_;
};

class Adopt {
 public:
    Adopt(Book::Impl& book, const Evaluator& evaluator, const std::vector<std::int64_t>& rows, const ReadEvents& read)
        : book_(book),
          read_(read),
          // entries alone, perhaps, which touch no cylinder
          something_before_(book_has_events(book) ||
                            book.db.raw().execAndGet("SELECT EXISTS (SELECT 1 FROM field)").getInt() != 0),
          fresh_(book, read),
          ties_(book),
          sink_(book),
          replay_(book, evaluator, book.reg, ties_, sink_,
                  something_before_ ? Replay::From::past : Replay::From::nothing),
          concerned_(book, replay_) {
        read_rows(rows);
    }

    void run() {
        find_named();
        void_targets();
        apply_register();
        resolve();
        tie_statements();
        concerned_.look_through_bodies();
        if (fresh_.size() > 1000) book_.db.run("PRAGMA cache_size = -65536");
        replay_.run(fresh_);
    }

 private:
    struct Naming {
        std::int64_t row = 0;
        Place place;
        Digest target{};
    };

    void read_rows(const std::vector<std::int64_t>& rows) {
        Scan s(book_.db, "SELECT at, origin, seq, digest, kind, body FROM event WHERE rowid = ?");
        const bool named_before = book_.db.raw().execAndGet("SELECT EXISTS (SELECT 1 FROM naming)").getInt() != 0;
        for (const auto row : rows) {
            s.again().with(1, row);
            if (!s.next()) continue;
            const Place place{s.integer(0), s.integer(1), s.integer(2)};
            const auto kind = s.bytes(4);
            if (named_before) named_already(row, digest_from(s.bytes(3)));
            if (kind == kinds::Void::name || kind == kinds::Settle::name || kind == kinds::Resolve::name) {
                const auto event = event_from_body(s.bytes(5));
                if (!event) continue;
                if (const auto* v = std::get_if<kinds::Void>(&event->what)) name(voids_, row, place, v->target);
                if (const auto* k = std::get_if<kinds::Settle>(&event->what)) name(statements_, row, place, k->target);
                if (const auto* r = std::get_if<kinds::Resolve>(&event->what)) {
                    resolves_.emplace_back(row, r->finding, place.origin);
                    const auto end = std::string_view(r->finding).substr(r->finding.rfind('/') + 1);
                    if (end.size() >= 12) wanted_names_.insert(std::string(end.substr(0, 12)));
                }
            }
            fresh_.rows.push_back({row, place});
        }
    }
    static void name(std::vector<Naming>& list, std::int64_t row, const Place& place, std::string_view target) {
        if (const auto digest = digest_from_hex(target)) list.push_back({row, place, *digest});
    }
    // Voids and statements that came before what they are about.
    void named_already(std::int64_t row, const Digest& digest) {
        auto& s = book_.db.statement(
            "SELECT n.event, e.kind, e.at, e.origin, e.seq FROM naming n JOIN event e ON e.rowid "
            "= n.event WHERE n.digest = ?");
        bind_bytes(s, 1, digest);
        while (s.executeStep()) {
            const Naming naming{s.getColumn(0).getInt64(),
                                {s.getColumn(2).getInt64(), s.getColumn(3).getInt64(), s.getColumn(4).getInt64()},
                                digest};
            (s.getColumn(1).getString() == kinds::Void::name ? voids_ : statements_).push_back(naming);
            found_[digest] = row;
        }
        s.reset();
    }

    // The rows of what is named by digest: one walk over the digests, however many there are.
    void find_named() {
        for (const auto* list : {&voids_, &statements_})
            for (const auto& one : *list) {
                found_.try_emplace(one.target, 0);
                add_naming(book_, one.target, one.row);
            }
        std::size_t missing = wanted_names_.size();
        for (const auto& [digest, row] : found_) missing += row == 0 ? 1 : 0;
        if (missing == 0) return;
        for (Scan s(book_.db, "SELECT rowid, digest FROM event"); s.next();) {
            const auto digest = digest_from(s.bytes(1));
            if (const auto it = found_.find(digest); it != found_.end()) it->second = s.integer(0);
            if (wanted_names_.empty()) continue;
            if (auto name = hex(digest).substr(0, 12); wanted_names_.contains(name))
                book_.rows_by_name[std::move(name)] = s.integer(0);
        }
    }

    void void_targets() {
        std::sort(voids_.begin(), voids_.end(), [](const Naming& x, const Naming& y) { return x.place < y.place; });
        for (const auto& v : voids_) {
            const auto target = found_[v.target];
            if (target == 0) continue;
            auto& s = bound(book_.db.statement("SELECT e.kind, u.by, v.at, v.origin, v.seq FROM event e LEFT JOIN "
                                               "uncounted u ON u.event = e.rowid LEFT JOIN event v ON v.rowid = u.by "
                                               "WHERE e.rowid = ?"),
                            target);
            const bool there = s.executeStep();
            const bool takes = there && s.getColumn(0).getString() != kinds::Void::name;
            const bool out = there && !s.getColumn(1).isNull();
            const bool quarantined = out && s.getColumn(1).getInt64() == 0;
            // of several voids the first one is named
            const bool earlier =
                out && !quarantined &&
                v.place < Place{s.getColumn(2).getInt64(), s.getColumn(3).getInt64(), s.getColumn(4).getInt64()};
            s.reset();
            if (!takes || quarantined || (out && !earlier)) continue;
            done(bound(book_.db.statement("INSERT OR REPLACE INTO uncounted(event, by) VALUES (?, ?)"), target, v.row));
            if (something_before_ && !out && !is_fresh(target)) concerned_.take_out(book_.load(target));
        }
        std::erase_if(fresh_.rows, [&](const auto& r) { return !counts(r.row); });
    }
    // Rows come in ascending order.
    [[nodiscard]] bool is_fresh(std::int64_t row) const {
        return std::binary_search(fresh_.rows.begin(), fresh_.rows.end(), FreshRows::Row{row, {}},
                                  [](const auto& x, const auto& y) { return x.row < y.row; });
    }
    [[nodiscard]] bool counts(std::int64_t row) const {
        auto& s = bound(book_.db.statement("SELECT 1 FROM uncounted WHERE event = ?"), row);
        const bool out = s.executeStep();
        s.reset();
        return !out;
    }

    void apply_register() {
        Scan s(book_.db, "SELECT body FROM event WHERE rowid = ? AND kind IN ('entry', 'requalify', 'convert')");
        std::vector<RegisterChange> changes;
        for (const auto& [row, place] : fresh_.rows) {
            const auto known = read_.find(row);
            std::optional<Event> event;
            if (known == read_.end()) {
                s.again().with(1, row);
                if (s.next())
                    if (auto body = event_from_body(s.bytes(0))) event = std::move(*body);
                if (!event) continue;
            }
            auto change = register_change(event ? *event : known->second);
            if (!change) continue;
            book_.reg.apply(*change, (event ? *event : known->second).order(), place.origin);
            if (something_before_) changes.push_back(std::move(*change));
        }
        for (const auto& change : changes) concerned_.register_changed(change);
    }

    void resolve() {
        for (const auto& [row, finding, origin] : resolves_)
            if (counts(row)) add_resolved(book_, finding, row, origin);
        if (book_.one_book()) return;
        // those that came before what they are about
        struct Open {
            std::string finding;
            std::int64_t event = 0, origin = 0;
        };
        std::vector<Open> open;
        for (Scan s(book_.db,
                    "SELECT r.finding, r.event, e.origin FROM resolved r JOIN event e ON e.rowid = r.event WHERE "
                    "r.about = 0");
             s.next();)
            open.push_back({std::string(s.bytes(0)), s.integer(1), s.integer(2)});
        for (const auto& one : open) {
            if (resolved_name(book_, one.finding, one.origin).about == 0) continue;
            done(bound(book_.db.statement("DELETE FROM resolved WHERE finding = ? AND about = 0 AND event = ?"),
                       one.finding, one.event));
            add_resolved(book_, one.finding, one.event, one.origin);
        }
    }

    void tie_statements() {
        for (const auto& k : statements_) {
            const auto target = found_[k.target];
            // one that does not count yet is tied when it does
            if (target != 0 && counts(k.row) && is_return(book_, target)) concerned_.tie(k.row, k.place, target);
        }
    }

    Book::Impl& book_;
    const ReadEvents& read_;
    const bool something_before_;
    FreshRows fresh_;
    const StoredTies ties_;
    TableSink sink_;
    Replay replay_;
    Concerned concerned_;
    std::vector<Naming> voids_, statements_;
    std::vector<std::tuple<std::int64_t, std::string, std::int64_t>> resolves_;
    std::set<std::string> wanted_names_;
    std::unordered_map<Digest, std::int64_t, DigestHash> found_;
};

}  // namespace

void project(Book::Impl& book, const Evaluator& evaluator, std::vector<std::int64_t> rows, const ReadEvents& read) {
    std::sort(rows.begin(), rows.end());
    Adopt(book, evaluator, rows, read).run();
}

Recount recount(Book::Impl& book) {
    Recount out;
    if (book.one_book()) return out;
    for (const auto& [origin, until] : counted_origins(book)) {
        auto& known = book.origins.at(origin);
        if (origin == book.own_origin || until == known.counted_to) continue;
        if (until < known.counted_to) out.fewer = true;
        Scan s(book.db, "SELECT rowid FROM event WHERE origin = ? AND seq > ? AND seq <= ?");
        s.with(1, origin).with(2, known.counted_to).with(3, until);
        while (s.next()) out.rows.push_back(s.integer(0));
        known.counted_to = until;
        done(bound(book.db.statement("UPDATE origin SET counted_to = ? WHERE id = ?"), until, origin));
    }
    return out;
}

void keep_uncounted(Book::Impl& book, std::int64_t first_row) {
    done(bound(book.db.statement("DELETE FROM uncounted WHERE by = 0 AND event >= ?"), first_row));
    for (const auto& [origin, known] : book.origins) {
        if (origin == book.own_origin) continue;
        done(bound(
            book.db.statement("INSERT OR REPLACE INTO uncounted(event, by) SELECT rowid, 0 FROM event WHERE origin "
                              "= ? AND seq > ? AND rowid >= ?"),
            origin, known.counted_to, first_row));
    }
}

void project_all(Book::Impl& book, const Evaluator& evaluator) {
    for (const char* table : {"uncounted", "finding", "resolved", "naming", "settlement", "step", "standing", "balance",
                              "posting", "field", "entry"})
        book.db.raw().exec(std::string("DELETE FROM ") + table);
    book.forget();
    recount(book);
    keep_uncounted(book);
    each_snapshot_entry(book, [&](const Event& entry) {
        book.reg.apply(*register_change(entry), entry.order(), origin_of(entry.order()));
    });
    std::vector<std::int64_t> rows;
    for (Scan s(book.db, "SELECT rowid FROM event WHERE rowid NOT IN (SELECT event FROM uncounted) ORDER BY rowid");
         s.next();)
        rows.push_back(s.integer(0));
    project(book, evaluator, std::move(rows));
}

}  // namespace tarebook
