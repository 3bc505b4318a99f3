#include "adopt.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <unordered_map>

#include "concerned.hpp"
#include "people.hpp"
#include "quarantine.hpp"
#include "replay.hpp"
#include "snapshot.hpp"
#include "table_sink.hpp"
#include "take_in.hpp"
#include "to_judge.hpp"

namespace tarebook {
namespace {

struct DigestHash {
    std::size_t operator()(const Digest& digest) const {
        std::size_t out = 0;
        for (std::size_t i = 0; i < sizeof out; ++i) out = out << 8U | digest[i];
        return out;
    }
};

// Events that are read from the file row by row, or from `read` where they are in memory.
class FreshRows : public FreshEvents {
 public:
    struct Row {
        std::int64_t row = 0;
        Place place;
    };
    FreshRows(Book::Impl& book, const ReadEvents& read) : book_(book), read_(read) {}
    std::vector<Row> rows;
    [[nodiscard]] std::size_t size() const override { return rows.size(); }
    [[nodiscard]] std::int64_t row(std::size_t p) const override { return rows[p].row; }
    [[nodiscard]] Place place(std::size_t p) const override { return rows[p].place; }
    void make(std::size_t p, Event& out) const override {
        if (const auto it = read_.find(rows[p].row); it != read_.end()) {
            out = it->second;
        } else {
            auto body = book_.db.ask("SELECT body FROM event WHERE id = ?", rows[p].row);
            if (!body.next()) throw StorageError("an event of the book is gone", "run: tarebook check");
            auto event = event_from_body(body.bytes(0));
            if (!event)
                throw StorageError("an event of the book is damaged: " + event.error().seen, "run: tarebook check");
            out = std::move(*event);
        }
        out.branch = book_.origins.at(rows[p].place.origin).branch;
    }

 private:
    Book::Impl& book_;
    const ReadEvents& read_;
};

class Adopt {
 public:
    /// What an event did is known until now: false for a book with nothing to judge again, or where all waits.
    enum class Before { may_be, nothing };
    Adopt(Book::Impl& book, const Evaluator& evaluator, const ReadEvents& read, Much much = Much::at_once,
          Before before = Before::may_be)
        : book_(book),
          read_(read),
          much_(much),
          // False for a book with nothing to judge again: no event with a posting, no field of the register.
          something_before_(before == Before::may_be &&
                            (book_has_events(book) || book.db.any("SELECT 1 FROM field LIMIT 1"))),
          fresh_(book, read),
          ties_(book),
          sink_(book),
          replay_(book, evaluator, book.reg, ties_, sink_,
                  something_before_ ? Replay::From::past : Replay::From::nothing),
          concerned_(book, replay_) {}

    /// Takes out all that these events did, which counted until now. Returns the rows that their voids had taken out of
    /// count and that count again.
    std::vector<std::int64_t> retract(const std::vector<std::int64_t>& gone) {
        std::vector<StoredEvent> counted, voids;
        for (const auto row : gone) {
            auto event = book_.load(row);
            book_.db.run("INSERT INTO ineffective(event, by) VALUES (?, 0) ON CONFLICT (event) DO UPDATE SET by = 0",
                         row);
            if (const auto named = named_by(event.event)) {
                book_.db.run("DELETE FROM naming WHERE digest = ? AND event = ?", *named, row);
            }
            if (std::holds_alternative<kinds::Void>(event.event.what)) voids.push_back(event);
            if (!event.voided_by) counted.push_back(std::move(event));
        }
        for (const auto& event : counted) concerned_.retract(event);
        for (const auto row : gone) concerned_.untie_all(row);
        std::vector<std::int64_t> again;
        for (const auto& v : voids)
            if (const auto named = named_by(v.event))
                if (const auto target = target_without(v.id, *named)) again.push_back(target);
        return again;
    }
    /// As retract, where their steps stay until they are judged, and what counts is written down already: only few
    /// kinds did more than that.
    std::vector<std::int64_t> retract_but_steps(const std::vector<std::int64_t>& gone) {
        gone_ = gone;
        std::sort(gone_.begin(), gone_.end());
        std::vector<std::int64_t> rows;
        for (auto s =
                 book_.db.walk("SELECT id FROM event WHERE kind IN ('void', 'settle', 'resolve', 'return', 'entry', "
                               "'requalify', 'convert', 'filter-drier') ORDER BY id");
             s.next();)
            if (std::binary_search(gone_.begin(), gone_.end(), s.integer(0))) rows.push_back(s.integer(0));
        return retract(rows);
    }
    void enqueue(std::int64_t row) { replay_.enqueue(row); }
    /// Enqueues the first event of each branch: another branch beside it may count from now on, or count no more.
    void enqueue_branch_begins() {
        for (const auto& [origin, begin] : book_.branch_begins) {
            const auto row =
                book_.db.integer("SELECT id FROM event WHERE origin = ? AND seq = ?", origin, begin.seq).value_or(0);
            replay_.enqueue(row);
        }
    }

    // A merge names what it received: some events of a withdrawn book may come in only now.
    void enqueue_merges(const IdBlock& came) {
        const auto withdrawn = books_ever_withdrawn(book_);
        if (withdrawn.empty() || came.size() == 0) return;
        for (const auto origin :
             book_.db.integers("SELECT DISTINCT origin FROM event WHERE id >= ? AND id < ?", came.first, came.end))
            if (withdrawn.contains(book_.origins.at(origin).book))
                for (const auto row : rows_of_kind(book_, kinds::Merge::name)) replay_.enqueue(row);
    }
    // Enqueues events that were here and follow one that came in now: only now can it be seen whether their clock went
    // back.
    void enqueue_what_follows(const IdBlock& came) {
        for (auto row : book_.db.integers(
                 "SELECT n.id FROM event e JOIN event n ON n.origin = e.origin AND n.seq = e.seq + 1 WHERE e.id >= ?1 "
                 "AND e.id < ?2 AND NOT (n.id >= ?1 AND n.id < ?2) AND NOT EXISTS (SELECT 1 FROM ineffective u WHERE "
                 "u.event = n.id)",
                 came.first, came.end)) {
            replay_.enqueue(row);
            // A `typist` is passed over: the event behind it follows, too.
            while (const auto behind = book_.db.integer(
                       "SELECT n.id FROM event e JOIN event n ON n.origin = e.origin AND n.seq = e.seq + 1 WHERE e.id "
                       "= ? AND e.kind = 'typist' AND NOT EXISTS (SELECT 1 FROM ineffective u WHERE u.event = n.id)",
                       row)) {
                row = *behind;
                replay_.enqueue(row);
            }
        }
    }

    void run(std::vector<std::int64_t> rows) {
        std::sort(rows.begin(), rows.end());
        if (much_ == Much::at_once)
            read_rows(rows);
        else
            read_at_once(rows);
        find_named();
        void_targets();
        apply_register();
        resolve();
        tie_statements();
        concerned_.finish();
        if (fresh_.size() > 1000) book_.db.give_cache(65'536);
        if (much_ == Much::at_once) return replay_.run(fresh_);
        auto all = replay_.take_enqueued();
        for (const auto& [row, place] : fresh_.rows) all.emplace(place, row);
        all.insert(places_of_others_.begin(), places_of_others_.end());
        put_off(book_, all);
    }

 private:
    struct Naming {
        std::int64_t row = 0;
        Place place;
        Digest target{};
    };

    static std::optional<Digest> named_by(const Event& event) {
        if (const auto* v = std::get_if<kinds::Void>(&event.what)) return digest_from_hex(v->target);
        if (const auto* k = std::get_if<kinds::Settle>(&event.what)) return digest_from_hex(k->target);
        return std::nullopt;
    }
    // The row that this void alone kept out of count; 0 where another void does too, or where another reason does.
    std::int64_t target_without(std::int64_t void_row, const Digest& named) {
        const auto target = book_.row_with_digest(named);
        const bool by_this = book_.db.any("SELECT 1 FROM ineffective WHERE event = ? AND by = ?", target, void_row);
        if (!by_this) return 0;
        const auto other = book_.db
                               .integer(
                                   "SELECT e.id FROM naming n JOIN event e ON e.id = n.event WHERE n.digest = ? "
                                   "AND e.kind = 'void' "
                                   "ORDER BY e.at, e.origin, e.seq LIMIT 1",
                                   named)
                               .value_or(0);
        if (other == 0)
            book_.db.run("DELETE FROM ineffective WHERE event = ?", target);
        else
            book_.db.run("UPDATE ineffective SET by = ? WHERE event = ?", other, target);
        return other == 0 ? target : 0;
    }

    void read_rows(const std::vector<std::int64_t>& rows) {
        const bool named_before = book_.db.any("SELECT 1 FROM naming LIMIT 1");
        for (const auto row : rows) {
            auto s = book_.db.ask("SELECT at, origin, seq, digest, kind, body FROM event WHERE id = ?", row);
            if (!s.next()) continue;
            const Place place{s.integer(0), s.integer(1), s.integer(2)};
            const auto kind = s.bytes(4);
            if (kind == kinds::RemoveName::name)
                if (const auto event = event_from_body(s.bytes(5)))
                    if (const auto* k = std::get_if<kinds::RemoveName>(&event->what)) remove_names(book_, k->people);
            if (named_before) named_already(row, digest_from(s.bytes(3)));
            if (kind == kinds::Void::name || kind == kinds::Settle::name || kind == kinds::Resolve::name) {
                const auto event = event_from_body(s.bytes(5));
                if (!event) continue;
                if (const auto* v = std::get_if<kinds::Void>(&event->what)) name(voids_, row, place, v->target);
                if (const auto* k = std::get_if<kinds::Settle>(&event->what)) name(statements_, row, place, k->target);
                if (const auto* r = std::get_if<kinds::Resolve>(&event->what))
                    resolves_.emplace_back(row, r->finding, place.origin);
            }
            fresh_.rows.push_back({row, place});
        }
    }
    // As read_rows, in three questions. Precondition: rows are in ascending order.
    void read_at_once(const std::vector<std::int64_t>& rows) {
        // What was enqueued until now may have another place since, on a branch apart.
        std::vector<std::int64_t> enqueued;
        for (const auto& [place, row] : replay_.take_enqueued()) enqueued.push_back(row);
        std::sort(enqueued.begin(), enqueued.end());
        for (auto s = book_.db.walk(
                 "SELECT id, at, origin, seq, CASE WHEN kind IN ('void', 'settle', 'resolve', 'remove-name', 'entry', "
                 "'requalify', 'convert', 'filter-drier') THEN body END FROM event ORDER BY id");
             s.next();) {
            const auto row = s.integer(0);
            const Place place{s.integer(1), s.integer(2), s.integer(3)};
            if (std::binary_search(gone_.begin(), gone_.end(), row) ||
                std::binary_search(enqueued.begin(), enqueued.end(), row))
                places_of_others_.emplace(place, row);
            if (!std::binary_search(rows.begin(), rows.end(), row)) continue;
            fresh_.rows.push_back({row, place});
            if (s.is_null(4)) continue;
            auto event = event_from_body(s.bytes(4));
            if (!event) continue;
            event->branch = book_.origins.at(place.origin).branch;
            special_.emplace(row, std::move(*event));
        }
        for (const auto& [row, event] : special_) {
            const auto place = place_of(event.order());
            if (const auto* k = std::get_if<kinds::RemoveName>(&event.what)) remove_names(book_, k->people);
            if (const auto* v = std::get_if<kinds::Void>(&event.what)) name(voids_, row, place, v->target);
            if (const auto* k = std::get_if<kinds::Settle>(&event.what)) name(statements_, row, place, k->target);
            if (const auto* r = std::get_if<kinds::Resolve>(&event.what))
                resolves_.emplace_back(row, r->finding, place.origin);
        }
        for (auto s = book_.db.walk(
                 "SELECT n.event, e.kind, e.at, e.origin, e.seq, n.digest, t.id FROM naming n JOIN event e ON e.id = "
                 "n.event JOIN event t ON substr(t.digest, 1, 8) = substr(n.digest, 1, 8) AND t.digest = n.digest");
             s.next();) {
            if (!std::binary_search(rows.begin(), rows.end(), s.integer(6))) continue;
            const auto digest = digest_from(s.bytes(5));
            const Naming naming{s.integer(0), {s.integer(2), s.integer(3), s.integer(4)}, digest};
            (s.text(1) == kinds::Void::name ? voids_ : statements_).push_back(naming);
            found_[digest] = s.integer(6);
        }
    }
    static void name(std::vector<Naming>& list, std::int64_t row, const Place& place, std::string_view target) {
        if (const auto digest = digest_from_hex(target)) list.push_back({row, place, *digest});
    }
    // Finds voids and statements that came in before the event that they name.
    void named_already(std::int64_t row, const Digest& digest) {
        auto s = book_.db.ask(
            "SELECT n.event, e.kind, e.at, e.origin, e.seq FROM naming n JOIN event e ON e.id "
            "= n.event WHERE n.digest = ?",
            digest);
        while (s.next()) {
            const Naming naming{s.integer(0), {s.integer(2), s.integer(3), s.integer(4)}, digest};
            (s.text(1) == kinds::Void::name ? voids_ : statements_).push_back(naming);
            found_[digest] = row;
        }
    }

    // Finds the rows of events that are named by digest.
    void find_named() {
        for (const auto* list : {&voids_, &statements_})
            for (const auto& one : *list) {
                found_.try_emplace(one.target, 0);
                add_naming(book_, one.target, one.row);
            }
        for (auto& [digest, row] : found_)
            if (row == 0) row = book_.row_with_digest(digest);
    }

    void void_targets() {
        std::sort(voids_.begin(), voids_.end(), [](const Naming& x, const Naming& y) { return x.place < y.place; });
        for (const auto& v : voids_) {
            const auto target = found_[v.target];
            if (target == 0) continue;
            if (!note_void(book_, target, v.row, v.place)) continue;
            if (something_before_ && !is_fresh(target)) concerned_.retract(book_.load(target));
        }
        // Of events that wait, those that are not effective are found so when they are judged.
        std::erase_if(fresh_.rows, [&](const auto& r) {
            return (much_ == Much::at_once || special_.contains(r.row)) && !is_effective(r.row);
        });
    }
    // Precondition: rows are in ascending order.
    [[nodiscard]] bool is_fresh(std::int64_t row) const {
        return std::binary_search(fresh_.rows.begin(), fresh_.rows.end(), FreshRows::Row{row, {}},
                                  [](const auto& x, const auto& y) { return x.row < y.row; });
    }
    [[nodiscard]] bool is_effective(std::int64_t row) const {
        return !book_.db.any("SELECT 1 FROM ineffective WHERE event = ?", row);
    }

    void apply_register() {
        std::vector<RegisterChange> changes;
        const auto& read = much_ == Much::at_once ? read_ : special_;
        for (const auto& [row, place] : fresh_.rows) {
            const auto known = read.find(row);
            std::optional<Event> event;
            if (known == read.end() && much_ == Much::put_off) continue;
            if (known == read.end()) {
                auto s = book_.db.ask(
                    "SELECT body FROM event WHERE id = ? AND kind IN ('entry', 'requalify', 'convert', 'filter-drier')",
                    row);
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
            if (is_effective(row)) add_resolved(book_, finding, row, origin);
        if (book_.one_book()) return;
        // Resolutions that came in before the event of their finding.
        struct Open {
            std::string finding;
            std::int64_t event = 0, origin = 0;
        };
        std::vector<Open> open;
        for (auto s = book_.db.ask(
                 "SELECT r.finding, r.event, e.origin FROM resolved r JOIN event e ON e.id = r.event WHERE "
                 "r.about = 0");
             s.next();)
            open.push_back({std::string(s.bytes(0)), s.integer(1), s.integer(2)});
        for (const auto& one : open) {
            if (resolved_name(book_, one.finding, one.origin).about == 0) continue;
            book_.db.run("DELETE FROM resolved WHERE finding = ? AND about = 0 AND event = ?", one.finding, one.event);
            add_resolved(book_, one.finding, one.event, one.origin);
        }
    }

    void tie_statements() {
        for (const auto& k : statements_) {
            const auto target = found_[k.target];
            // A statement that does not count yet is tied when it does.
            if (target != 0 && is_effective(k.row) && is_return(book_, target)) concerned_.tie(k.row, k.place, target);
        }
    }

    Book::Impl& book_;
    const ReadEvents& read_;
    const Much much_;
    const bool something_before_;
    std::vector<std::int64_t> gone_;  // what waits to be taken out
    ToJudge places_of_others_;        // of these, and of what was enqueued before
    ReadEvents special_;              // what waits and does more than moving gas
    FreshRows fresh_;
    const StoredTies ties_;
    TableSink sink_;
    Replay replay_;
    Concerned concerned_;
    std::vector<Naming> voids_, statements_;
    std::vector<std::tuple<std::int64_t, std::string, std::int64_t>> resolves_;
    std::unordered_map<Digest, std::int64_t, DigestHash> found_;
};

}  // namespace

void project(Book::Impl& book, const Evaluator& evaluator, std::vector<std::int64_t> rows, const ReadEvents& read) {
    Adopt(book, evaluator, read).run(std::move(rows));
}

TrustChange trust_change(Book::Impl& book) {
    TrustChange out;
    // Only a damaged row has it: effective_to is for other books.
    if (auto& own = book.origins.at(book.own_origin); own.effective_to != 0) {
        own.effective_to = 0;
        book.db.run("UPDATE origin SET effective_to = 0 WHERE id = ?", book.own_origin);
    }
    if (book.one_book()) return out;
    for (const auto& [origin, until] : effective_origins(book)) {
        auto& known = book.origins.at(origin);
        if (origin == book.own_origin || until == known.effective_to) continue;
        for (auto s = book.db.ask("SELECT id FROM event WHERE origin = ? AND seq > ? AND seq <= ?", origin,
                                  std::min(until, known.effective_to), std::max(until, known.effective_to));
             s.next();)
            (until < known.effective_to ? out.gone : out.rows).push_back(s.integer(0));
        known.effective_to = until;
        book.db.run("UPDATE origin SET effective_to = ? WHERE id = ?", until, origin);
    }
    return out;
}

void keep_ineffective(Book::Impl& book, const IdBlock& among) {
    book.db.run("DELETE FROM ineffective WHERE by = 0 AND event >= ? AND event < ?", among.first, among.end);
    for (const auto& [origin, known] : book.origins) {
        if (origin == book.own_origin && !book.own_effective_to) continue;
        book.db.run(
            "INSERT INTO ineffective(event, by) SELECT id, 0 FROM event WHERE origin "
            "= ? AND seq > ? AND id >= ? AND id < ? ON CONFLICT (event) DO UPDATE SET by = 0",
            origin, origin == book.own_origin ? *book.own_effective_to : known.effective_to, among.first, among.end);
    }
}

void project(Book::Impl& book, const Evaluator& evaluator, TrustChange counted, const ReadEvents& read,
             const IdBlock& came) {
    for (const auto row : counted.rows) book.db.run("DELETE FROM ineffective WHERE event = ? AND by = 0", row);
    Adopt adopt(book, evaluator, read);
    for (const auto row : adopt.retract(counted.gone)) counted.rows.push_back(row);
    adopt.enqueue_branch_begins();
    adopt.enqueue_what_follows(came);
    adopt.enqueue_merges(came);
    adopt.run(std::move(counted.rows));
}

std::vector<std::int64_t> move_steps(Book::Impl& book) {
    book.db.run("UPDATE step SET origin = -e.origin FROM event e WHERE e.id = step.event AND step.origin <> e.origin");
    auto out = book.db.integers(
        "SELECT DISTINCT s.event FROM step m JOIN step s ON s.cylinder = m.cylinder AND s.at = m.at WHERE m.origin < 0 "
        "AND s.origin > 0");
    book.db.run("UPDATE step SET origin = -origin WHERE origin < 0");
    return out;
}

void project_later(Book::Impl& book, const Evaluator& evaluator, TrustChange counted, const IdBlock& came,
                   const std::function<bool(const std::vector<std::int64_t>&)>& sort_out) {
    keep_ineffective(book);
    const ReadEvents none;
    Adopt adopt(book, evaluator, none, Much::put_off);
    for (const auto row : adopt.retract_but_steps(counted.gone)) counted.rows.push_back(row);
    if (sort_out(counted.rows)) {
        move_steps(book);
        return project_all(book, evaluator, Much::put_off);
    }
    for (const auto row : move_steps(book)) adopt.enqueue(row);
    // What is on another branch now counts there.
    const auto moved = trust_change(book);
    must_hold(moved.gone.empty(), "what is set apart did not count before");
    for (const auto row : moved.rows) counted.rows.push_back(row);
    keep_ineffective(book);
    std::sort(counted.rows.begin(), counted.rows.end());
    counted.rows.erase(std::unique(counted.rows.begin(), counted.rows.end()), counted.rows.end());
    adopt.enqueue_branch_begins();
    adopt.enqueue_what_follows(came);
    adopt.enqueue_merges(came);
    adopt.run(std::move(counted.rows));
}

namespace {
// How many events of other books these may concern.
std::int64_t events_concerned(Book::Impl& book, const std::vector<Event>& said) {
    std::set<BookId> books;
    bool all = false;
    for (const auto& event : said) {
        std::optional<BookId> about;
        if (const auto* t = std::get_if<kinds::Trust>(&event.what)) about = book_id_from_hex(t->book);
        if (const auto* w = std::get_if<kinds::Withdraw>(&event.what)) about = book_id_from_hex(w->book);
        if (about) books.insert(*about);
        all = all || std::holds_alternative<kinds::Resolve>(event.what);
    }
    std::int64_t out = 0;
    for (const auto& [origin, known] : book.origins)
        if (all || books.contains(known.book))
            out += book.db.integer("SELECT count(*) FROM event WHERE origin = ?", origin).value_or(0);
    for (const auto& run : waiting(book))
        if (all || books.contains(run.book)) out += run.events();
    return out;
}
}  // namespace

void apply_trust_change(Book::Impl& book, const Evaluator& evaluator, const std::vector<Event>& said) {
    const bool stuck = is_stuck(book);
    if (!stuck) refuse_while_judged_anew(book);
    const auto concerned = book.db.on_server() && !stuck ? events_concerned(book, said) : 0;
    const auto much = too_many_at_once(book, static_cast<std::size_t>(concerned)) ? Much::put_off : Much::at_once;
    // The register that a book sent along counts as long as the book is trusted.
    TakeIn take(book, said.back().recorded);
    bool anew = stuck;
    for (const auto& event : said) {
        // A book that goes on from a copy: the events of the copied book are another book's now, with other names.
        anew = anew || std::holds_alternative<kinds::Start>(event.what);
        std::optional<BookId> about;
        if (const auto* t = std::get_if<kinds::Trust>(&event.what)) about = book_id_from_hex(t->book);
        if (const auto* w = std::get_if<kinds::Withdraw>(&event.what)) about = book_id_from_hex(w->book);
        if (!about) continue;
        anew = book.db.any("SELECT 1 FROM snapshot WHERE book = ?", *about) || anew;
        take.admit(*about);
    }
    take.evaluate(evaluator, anew, much);
}

void project_all(Book::Impl& book, const Evaluator& evaluator, Much much) {
    for (const char* table : {"ineffective", "resolved", "naming", "settlement", "field", "entry"})
        book.db.script(fmt::format("DELETE FROM {}", table));
    if (much == Much::at_once) {
        for (const std::string_view table :
             {std::string_view("finding"), std::string_view("step"), std::string_view("current_state"),
              balance_rows(book.db), std::string_view("posting")})
            book.db.script(fmt::format("DELETE FROM {}", table));
        nothing_waits(book);
    }
    book.forget();
    number_books_of_snapshots(book);
    trust_change(book);
    keep_ineffective(book);
    each_snapshot_entry(book, [&](const Event& entry) {
        book.reg.apply(*register_change(entry), entry.order(), origin_of(entry.order()));
    });
    std::vector<std::int64_t> rows;
    for (auto s = book.db.ask("SELECT id FROM event WHERE id NOT IN (SELECT event FROM ineffective) ORDER BY id");
         s.next();)
        rows.push_back(s.integer(0));
    if (much == Much::at_once) return project(book, evaluator, std::move(rows));
    const ReadEvents none;
    Adopt(book, evaluator, none, Much::put_off, Adopt::Before::nothing).run(std::move(rows));
    put_off_all(book);
}

}  // namespace tarebook
