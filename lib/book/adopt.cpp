#include "adopt.hpp"

#include <algorithm>
#include <set>
#include <unordered_map>

#include "many.hpp"
#include "refold.hpp"
#include "snapshot.hpp"

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
class RowSource : public ManySource {
 public:
    RowSource(Book::Impl& book, const ReadEvents& read)
        : read_(read), body_(book.db, "SELECT body FROM event WHERE rowid = ?") {}
    void add(std::int64_t row, const OrderKey& order) { rows_.push_back({row, order}); }
    [[nodiscard]] std::size_t size() const override { return rows_.size(); }
    [[nodiscard]] std::int64_t row(std::size_t p) const override { return rows_[p].row; }
    [[nodiscard]] OrderKey order(std::size_t p) const override { return rows_[p].order; }
    void make(std::size_t p, Event& out) const override {
        if (const auto it = read_.find(rows_[p].row); it != read_.end()) {
            out = it->second;
            out.branch = rows_[p].order.branch;
            return;
        }
        body_.again().with(1, rows_[p].row);
        if (!body_.next()) throw StorageError("an event of the book is gone", "run: tarebook check");
        auto event = event_from_body(body_.bytes(0));
        if (!event) throw StorageError("an event of the book is damaged: " + event.error().seen, "run: tarebook check");
        out = std::move(*event);
        out.branch = rows_[p].order.branch;
    }

 private:
    struct Row {
        std::int64_t row = 0;
        OrderKey order;
    };
    const ReadEvents& read_;
    std::vector<Row> rows_;
    mutable Scan body_;
};

class Adopt {
 public:
    Adopt(Book::Impl& book, const Evaluator& evaluator, std::vector<std::int64_t> rows, const ReadEvents& read)
        : book_(book),
          evaluator_(evaluator),
          rows_(std::move(rows)),
          read_(read),
          source_(book, read),
          has_events_(book_has_events(book)),
          something_before_(has_events_ ||
                            book.db.raw().execAndGet("SELECT EXISTS (SELECT 1 FROM field)").getInt() != 0) {
        std::sort(rows_.begin(), rows_.end());
        if (something_before_) mine_.insert(rows_.begin(), rows_.end());
    }

    void run() {
        read_rows();
        find_named();
        void_targets();
        Refold before(book_, evaluator_);
        before.leave_out(mine_);
        for (const auto target : taken_out_) before.take_out(book_.load(target));
        apply_register(before);
        before.run();
        resolve();
        tie_statements(before);
        before.run();
        fold();
    }

 private:
    struct Naming {
        std::int64_t row = 0;
        OrderKey order;
        Digest target{};
    };

    void read_rows() {
        Scan s(book_.db, "SELECT at, origin, seq, digest, kind, body FROM event WHERE rowid = ?");
        const bool named_before = book_.db.raw().execAndGet("SELECT EXISTS (SELECT 1 FROM naming)").getInt() != 0;
        for (const auto row : rows_) {
            s.again().with(1, row);
            if (!s.next()) continue;
            const auto order = book_.key(s.integer(0), s.integer(1), s.integer(2));
            const auto kind = s.bytes(4);
            if (named_before) named_already(row, digest_from(s.bytes(3)));
            if (kind == kinds::Void::name || kind == kinds::Settle::name || kind == kinds::Resolve::name) {
                const auto event = event_from_body(s.bytes(5));
                if (!event) continue;
                if (const auto* v = std::get_if<kinds::Void>(&event->what)) name(voids_, row, order, v->target);
                if (const auto* k = std::get_if<kinds::Settle>(&event->what)) name(statements_, row, order, k->target);
                if (const auto* r = std::get_if<kinds::Resolve>(&event->what)) {
                    resolves_.emplace_back(row, r->finding, origin_of(order));
                    const auto end = std::string_view(r->finding).substr(r->finding.rfind('/') + 1);
                    if (end.size() >= 12) wanted_names_.insert(std::string(end.substr(0, 12)));
                }
            }
            places_.push_back({row, order});
        }
    }
    static void name(std::vector<Naming>& list, std::int64_t row, const OrderKey& order, std::string_view target) {
        if (const auto digest = digest_from_hex(target)) list.push_back({row, order, *digest});
    }
    // Voids and statements that came before what they are about.
    void named_already(std::int64_t row, const Digest& digest) {
        auto& s = book_.db.statement(
            "SELECT n.event, e.kind, e.at, e.origin, e.seq FROM naming n JOIN event e ON e.rowid "
            "= n.event WHERE n.digest = ?");
        bind_bytes(s, 1, digest);
        while (s.executeStep()) {
            const Naming naming{
                s.getColumn(0).getInt64(),
                book_.key(s.getColumn(2).getInt64(), s.getColumn(3).getInt64(), s.getColumn(4).getInt64()), digest};
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
        std::sort(voids_.begin(), voids_.end(), [](const Naming& a, const Naming& b) { return a.order < b.order; });
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
                v.order < book_.key(s.getColumn(2).getInt64(), s.getColumn(3).getInt64(), s.getColumn(4).getInt64());
            s.reset();
            if (!takes || quarantined || (out && !earlier)) continue;
            done(bound(book_.db.statement("INSERT OR REPLACE INTO uncounted(event, by) VALUES (?, ?)"), target, v.row));
            if (something_before_ && !out && !mine_.contains(target)) taken_out_.push_back(target);
        }
        std::erase_if(places_, [&](const Place& p) { return !counts(p.row); });
    }
    [[nodiscard]] bool counts(std::int64_t row) const {
        auto& s = bound(book_.db.statement("SELECT 1 FROM uncounted WHERE event = ?"), row);
        const bool out = s.executeStep();
        s.reset();
        return !out;
    }

    void apply_register(Refold& refold) {
        Scan s(book_.db, "SELECT body FROM event WHERE rowid = ? AND kind IN ('entry', 'requalify', 'convert')");
        std::vector<RegisterChange> changes;
        for (const auto& place : places_) {
            const auto known = read_.find(place.row);
            std::optional<Event> event;
            if (known == read_.end()) {
                s.again().with(1, place.row);
                if (s.next())
                    if (auto body = event_from_body(s.bytes(0))) event = std::move(*body);
                if (!event) continue;
            }
            auto change = register_change(event ? *event : known->second);
            if (!change) continue;
            book_.reg.apply(*change, place.order, origin_of(place.order));
            if (has_events_) changes.push_back(std::move(*change));
        }
        for (const auto& change : changes) refold.register_changed(change);
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

    void tie_statements(Refold& refold) {
        for (const auto& k : statements_) {
            const auto target = found_[k.target];
            if (target == 0 || !counts(k.row)) continue;
            // one that does not count yet is tied when it does
            auto& s =
                bound(book_.db.statement("SELECT 1 FROM event WHERE rowid = ?1 AND kind = 'return' AND NOT EXISTS "
                                         "(SELECT 1 FROM uncounted WHERE event = ?1 AND by = 0)"),
                      target);
            const bool is_return = s.executeStep();
            s.reset();
            if (!is_return) continue;
            tie_statement(book_, k.row, k.order, target);
            if (has_events_) refold.statements_changed(target);
        }
    }

    // What lies after all that the book has of its cylinders passes in memory; the rest, and whatever shares a cylinder
    // with it, is looked at one by one.
    void fold() {
        ManyFold many(book_, source_, has_events_);
        std::vector<std::int64_t> late;
        if (has_events_) {
            late = part(many);
        } else {
            for (const auto& place : places_) source_.add(place.row, place.order);
        }
        many.run(evaluator_, {});
        Refold refold(book_, evaluator_);
        for (const auto row : late) refold.look_again(row);
        for (const auto& k : statements_) {
            if (!counts(k.row)) continue;
            refold.look_again(k.row);
            if (const auto target = found_[k.target]) refold.statements_changed(target);
        }
        refold.run();
    }
    std::vector<std::int64_t> part(ManyFold& many) {
        RowSource all(book_, read_);
        for (const auto& place : places_) all.add(place.row, place.order);
        std::vector<std::vector<std::string>> codes(places_.size());
        std::set<std::string> dirty;
        Event e;
        for (std::size_t p = 0; p < places_.size(); ++p) {
            all.make(p, e);
            codes[p] = cylinders_of(e);
            for (const auto& code : codes[p]) {
                const auto& slot = many.slot_of(code);
                if (slot.stood && places_[p].order < slot.last) dirty.insert(code);
            }
            if (std::holds_alternative<kinds::Settle>(e.what)) dirty.insert(codes[p].begin(), codes[p].end());
        }
        const auto is_late = [&](std::size_t p) {
            return std::any_of(codes[p].begin(), codes[p].end(),
                               [&](const std::string& code) { return dirty.contains(code); });
        };
        for (std::size_t before = 0; before != dirty.size();) {
            before = dirty.size();
            for (std::size_t p = 0; p < places_.size(); ++p)
                if (codes[p].size() > 1 && is_late(p)) dirty.insert(codes[p].begin(), codes[p].end());
        }
        std::vector<std::int64_t> late;
        for (std::size_t p = 0; p < places_.size(); ++p) {
            if (is_late(p))
                late.push_back(places_[p].row);
            else
                source_.add(places_[p].row, places_[p].order);
        }
        return late;
    }

    struct Place {
        std::int64_t row = 0;
        OrderKey order;
    };
    Book::Impl& book_;
    const Evaluator& evaluator_;
    std::vector<std::int64_t> rows_;
    std::set<std::int64_t> mine_;  // the same; only where there was something before
    const ReadEvents& read_;
    RowSource source_;
    bool has_events_;
    bool something_before_;  // entries alone, perhaps
    std::vector<Place> places_;
    std::vector<Naming> voids_, statements_;
    std::vector<std::tuple<std::int64_t, std::string, std::int64_t>> resolves_;
    std::set<std::string> wanted_names_;
    std::unordered_map<Digest, std::int64_t, DigestHash> found_;
    std::vector<std::int64_t> taken_out_;
};

}  // namespace

void project(Book::Impl& book, const Evaluator& evaluator, std::vector<std::int64_t> rows, const ReadEvents& read) {
    Adopt(book, evaluator, std::move(rows), read).run();
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
        if (origin == book.own_origin && !book.own_counts_to) continue;
        done(bound(
            book.db.statement("INSERT OR REPLACE INTO uncounted(event, by) SELECT rowid, 0 FROM event WHERE origin "
                              "= ? AND seq > ? AND rowid >= ?"),
            origin, origin == book.own_origin ? *book.own_counts_to : known.counted_to, first_row));
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
