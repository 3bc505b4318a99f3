// Judging and committing. A draft is evaluated on the state as it would be with it; whatever it touches downstream is
// looked at again, event by event in total order, until the states converge with what stood there before (I5): a late
// entry normally reaches just to the next reading of its cylinder.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "adopt.hpp"
#include "commit.hpp"
#include "key.hpp"
#include "own_end.hpp"
#include "refold.hpp"
#include "touches.hpp"
#include "work.hpp"

namespace tarebook {

Refold::Refold(Book::Impl& book, const Evaluator& evaluator) : book_(book), evaluator_(evaluator) {}

void Refold::look_again(std::int64_t event_id) {
    if (left_out_ && left_out_->contains(event_id)) return;
    auto& s = bound(book_.db.statement("SELECT e.at, e.origin, e.seq FROM event e WHERE e.rowid = ? AND NOT EXISTS "
                                       "(SELECT 1 FROM uncounted u WHERE u.event = e.rowid)"),
                    event_id);
    if (s.executeStep())
        queue_[book_.key(s.getColumn(0).getInt64(), s.getColumn(1).getInt64(), s.getColumn(2).getInt64())] = event_id;
    s.reset();
}

void Refold::look_again(std::int64_t event_id, const Event& event) {
    fresh_[event_id] = &event;
    queue_[event.order()] = event_id;
}

// Where the register changed under events that stand already, those are looked at again, whatever their states say.
void Refold::register_changed(const RegisterChange& change) {
    std::vector<std::int64_t> ids;
    auto collect = [&](SQLite::Statement& s) {
        while (s.executeStep()) ids.push_back(s.getColumn(0).getInt64());
        s.reset();
    };
    switch (change.entry) {
        case EntryKind::cylinder:
            collect(
                bound(book_.db.statement("SELECT event FROM step WHERE cylinder = (SELECT id FROM account WHERE kind = "
                                         "'cylinder' AND code = ?)"),
                      change.code));
            break;
        case EntryKind::site:
            // Whose gas may meet whose changes anywhere in the book, unless nobody's gas of that name is in it yet.
            if (change.values.contains("owner") || change.values.contains("owner_group")) {
                // Where other events spoke of the same site too, what is added or taken out here may change their
                // sense.
                const auto* site = book_.reg.find(EntryKind::site, change.code);
                bool matters = !change.adds;
                if (site)
                    for (const auto& [name, values] : site->fields())
                        matters = matters || values.size() != 1 || !change.values.contains(name);
                if (const auto owner = change.values.find("owner"); !matters && owner != change.values.end()) {
                    auto& s = bound(book_.db.statement("SELECT 1 FROM lot WHERE owner = ?"), owner->second.text);
                    matters = change.values.contains("owner_group") && s.executeStep();
                    s.reset();
                }
                if (matters) collect(book_.db.statement("SELECT DISTINCT event FROM step"));
            }
            [[fallthrough]];
        case EntryKind::appliance:
            collect(bound(
                book_.db.statement("SELECT DISTINCT p.event FROM account a JOIN posting p ON p.account = a.id AND "
                                   "p.circuit_day IS NOT NULL WHERE a.kind = 'circuit' AND (a.code = ?1 OR "
                                   "substr(a.code, 1, length(?1) + 1) = ?1 "
                                   "|| '/')"),
                change.code));
            break;
        case EntryKind::circuit:
            break;  // see below
        case EntryKind::scale:
        case EntryKind::machine:
        case EntryKind::technician:  // rare, and any event may name one: look in the bodies
            collect(
                bound(book_.db.statement("SELECT rowid FROM event WHERE instr(body, ?) > 0"), '"' + change.code + '"'));
            break;
    }
    // what another book said of the same entry
    if (!book_.one_book())
        collect(bound(book_.db.statement(
                          "SELECT DISTINCT e.rowid FROM field f JOIN event e ON e.origin = f.origin AND e.seq = f.seq "
                          "WHERE f.entry = (SELECT id FROM entry WHERE kind = ? AND code = ?)"),
                      text_of(change.entry), change.code));
    for (const auto id : ids) look_again(id);
}

void Refold::take_out(const StoredEvent& target) {
    const auto order = target.event.order();
    const auto at = seconds_of(order.at);
    auto& origin = bound(book_.db.statement("SELECT origin FROM event WHERE rowid = ?"), target.id);
    origin.executeStep();
    const auto origin_id = origin.getColumn(0).getInt64();
    origin.reset();
    for (const auto& code : cylinders_of(target.event)) {
        const auto cylinder = book_.account_id({AccountKind::cylinder, code}, true);
        done(bound(book_.db.statement("DELETE FROM step WHERE cylinder = ? AND at = ? AND origin = ? AND seq = ?"),
                   cylinder, at, origin_id, order.seq));
        moved_on_.insert(cylinder);
        enqueue_next(code, order);
    }
    replace_postings(target.id, target.event, {});
    if (std::holds_alternative<kinds::Return>(target.event.what)) statements_changed(target.id);
    if (std::holds_alternative<kinds::Settle>(target.event.what)) untie_statement(target.id);
    done(bound(book_.db.statement("DELETE FROM finding WHERE event = ?"), target.id));
    done(bound(book_.db.statement("DELETE FROM resolved WHERE event = ?"), target.id));
    if (const auto change = register_change(target.event)) {
        book_.reg.take_out(*change, order, origin_id);
        register_changed(*change);
    }
}

CylinderState Refold::state_before(const std::string& cylinder, const OrderKey& order) {
    auto& s = bound(book_.db.statement("SELECT state FROM step WHERE cylinder = ? AND (at, origin, seq) < (?, ?, ?) "
                                       "ORDER BY at DESC, origin DESC, seq DESC LIMIT 1"),
                    book_.account_id({AccountKind::cylinder, cylinder}, true), seconds_of(order.at), origin_of(order),
                    order.seq);
    CylinderState state;
    if (s.executeStep()) {
        state = state_in(s.getColumn(0));
    }
    s.reset();
    return state;
}

// Where an event came or went, those of other books that may tell of the same act are looked at as well.
void Refold::enqueue_next(const std::string& cylinder, const OrderKey& order) {
    if (!book_.one_book()) {
        auto& near = bound(
            book_.db.statement("SELECT at, origin, seq, event FROM step WHERE cylinder = ? AND (at, origin, seq) > "
                               "(?, ?, ?) AND at <= ?"),
            book_.account_id({AccountKind::cylinder, cylinder}, true), seconds_of(order.at), origin_of(order),
            order.seq, seconds_of(order.at + touch_reach));
        while (near.executeStep())
            queue_[book_.key(near.getColumn(0).getInt64(), near.getColumn(1).getInt64(),
                             near.getColumn(2).getInt64())] = near.getColumn(3).getInt64();
        near.reset();
    }
    auto& s = bound(
        book_.db.statement("SELECT at, origin, seq, event FROM step WHERE cylinder = ? AND (at, origin, seq) > "
                           "(?, ?, ?) ORDER BY at, origin, seq LIMIT 1"),
        book_.account_id({AccountKind::cylinder, cylinder}, true), seconds_of(order.at), origin_of(order), order.seq);
    if (s.executeStep())
        queue_[book_.key(s.getColumn(0).getInt64(), s.getColumn(1).getInt64(), s.getColumn(2).getInt64())] =
            s.getColumn(3).getInt64();
    s.reset();
}

bool Refold::replace_postings(std::int64_t event_id, const Event& event, const std::vector<Posting>& postings) {
    struct Row {
        std::int64_t account, lot, mass;
        bool operator==(const Row&) const = default;
    };
    std::vector<Row> before;
    auto& old =
        bound(book_.db.statement("SELECT account, lot, mass FROM posting WHERE event = ? ORDER BY n"), event_id);
    while (old.executeStep())
        before.push_back({old.getColumn(0).getInt64(), old.getColumn(1).getInt64(), old.getColumn(2).getInt64()});
    old.reset();
    std::vector<Row> after;
    after.reserve(postings.size());
    for (const auto& p : postings)
        after.push_back({book_.account_id(p.account, true), book_.lot_id(p.lot), p.mass.count()});
    if (before == after) return false;
    auto shift = [&](const Row& row, std::int64_t sign) {
        done(bound(
            book_.db.statement("INSERT INTO balance(account, lot, mass) VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET "
                               "mass = mass + excluded.mass"),
            row.account, row.lot, sign * row.mass));
    };
    if (!before.empty()) {
        for (const auto& row : before) shift(row, -1);
        done(bound(book_.db.statement("DELETE FROM posting WHERE event = ?"), event_id));
    }
    std::int64_t n = 0;
    for (const auto& row : after) {
        auto& s = bound(book_.db.statement(
                            "INSERT INTO posting(event, n, account, lot, mass, circuit_day) VALUES (?, ?, ?, ?, ?, ?)"),
                        event_id, n, row.account, row.lot, row.mass);
        if (const auto day = circuit_day(postings[static_cast<std::size_t>(n)], event)) s.bind(6, *day);
        done(s);
        ++n;
        shift(row, 1);
    }
    return true;
}

void Refold::evaluate(std::int64_t event_id) {
    const auto fresh = fresh_.find(event_id);
    StoredEvent stored;
    if (fresh == fresh_.end()) stored = book_.load(event_id);
    const Event& event = fresh == fresh_.end() ? stored.event : *fresh->second;
    const auto order = event.order();
    States before;
    // The steps before this one are as they shall be: the queue runs in total order and each step is written at once.
    for (const auto& code : cylinders_of(event)) before[code] = state_before(code, order);
    if (std::holds_alternative<kinds::Settle>(event.what)) before.sent = sent_to(event_id, order);
    if (!book_.one_book()) {
        for (const auto& code : cylinders_of(event))
            add_touches(before, code,
                        touches_before(book_, book_.account_id({AccountKind::cylinder, code}, true), order, fresh_),
                        order, {});
        before.fork = fork_at(book_, event);
    }
    Outcome outcome =
        naming_event(book_, event_id, event, [&] { return evaluator_.evaluate(event, before, book_.reg); });
    if (replace_postings(event_id, event, outcome.postings) && std::holds_alternative<kinds::Return>(event.what))
        statements_changed(event_id);
    const auto origin = origin_of(order);
    for (const auto& effect : outcome.effects) {
        const auto cylinder = book_.account_id({AccountKind::cylinder, effect.cylinder}, true);
        const auto bytes = packed(effect.after);
        auto& old =
            bound(book_.db.statement("SELECT state, moved, gap FROM step WHERE cylinder = ? AND at = ? AND origin = ? "
                                     "AND seq = ?"),
                  cylinder, seconds_of(order.at), origin, order.seq);
        bool stood = false;
        bool same_state = false;
        bool same_row = false;
        if (old.executeStep()) {
            stood = true;
            const auto column = old.getColumn(0);
            same_state = bytes == std::string_view(static_cast<const char*>(column.getBlob()),
                                                   static_cast<std::size_t>(column.getBytes()));
            same_row = same_state && old.getColumn(1).getInt64() == effect.moved.count() &&
                       old.getColumn(2).getInt64() == effect.gap.count();
        }
        old.reset();
        if (!same_row) {
            auto& s = bound(
                book_.db.statement("INSERT OR REPLACE INTO step(cylinder, at, origin, seq, event, moved, gap, "
                                   "state) VALUES (?, ?, ?, ?, ?, ?, ?, ?)"),
                cylinder, seconds_of(order.at), origin, order.seq, event_id, effect.moved.count(), effect.gap.count());
            s.bind(8, bytes.data(), static_cast<int>(bytes.size()));
            done(s);
            moved_on_.insert(cylinder);
        }
        // Where the state is what stood there before, what follows stands as it is.
        if (!stood || !same_state || (!same_row && !book_.one_book())) enqueue_next(effect.cylinder, order);
    }
    if (fresh == fresh_.end()) {
        done(bound(book_.db.statement("DELETE FROM finding WHERE event = ?"), event_id));
        write_findings(book_, event_id, outcome.findings);
    } else {
        fresh_outcomes_[event_id] = std::move(outcome);
    }
}

void Refold::run() {
    while (!queue_.empty()) {
        const auto id = queue_.begin()->second;
        queue_.erase(queue_.begin());
        evaluate(id);
    }
    for (const auto cylinder : moved_on_) stand_anew(book_, cylinder);
    moved_on_.clear();
}

void stand_anew(Book::Impl& book, std::int64_t cylinder) {
    done(bound(book.db.statement("DELETE FROM standing WHERE cylinder = ?"), cylinder));
    done(bound(book.db.statement("INSERT INTO standing SELECT cylinder, state FROM step WHERE cylinder = ? ORDER BY at "
                                 "DESC, origin DESC, seq DESC LIMIT 1"),
               cylinder));
}

Book::Transaction Book::begin() {
    return guarded(*impl_, [&] {
        impl_->forget();
        Transaction t(std::make_unique<Transaction::Work>(*impl_));
        t.work_->head = head();
        refuse_unsigned_end(*impl_);
        auto& s = impl_->db.statement("SELECT max(rowid) FROM event");
        s.executeStep();
        t.work_->first_id = (s.getColumn(0).isNull() ? 0 : s.getColumn(0).getInt64()) + 1;
        s.reset();
        return t;
    });
}

Book::Transaction::Transaction(std::unique_ptr<Work> work) : work_(std::move(work)) {}
Book::Transaction::Transaction(Transaction&&) noexcept = default;
Book::Transaction::~Transaction() = default;

namespace {
std::optional<std::int64_t> event_with_digest(Book::Impl& book, std::string_view digest_hex) {
    if (const auto seen = book.seen_digests.find(digest_hex); seen != book.seen_digests.end()) return seen->second;
    const auto digest = digest_from_hex(digest_hex);
    if (!digest) return std::nullopt;
    auto& s = book.db.statement("SELECT rowid FROM event WHERE digest = ?");
    bind_bytes(s, 1, *digest);
    std::optional<std::int64_t> id;
    if (s.executeStep()) id = s.getColumn(0).getInt64();
    s.reset();
    return id;
}
bool is_return(Book::Impl& book, std::int64_t id) {
    auto& s =
        bound(book.db.statement("SELECT 1 FROM event WHERE rowid = ?1 AND kind = 'return' AND NOT EXISTS (SELECT 1 "
                                "FROM uncounted WHERE event = ?1 AND by = 0)"),
              id);
    const bool out = s.executeStep();
    s.reset();
    return out;
}
bool counted(Book::Impl& book, std::int64_t id) {
    auto& s = bound(book.db.statement("SELECT 1 FROM uncounted WHERE event = ?"), id);
    const bool out = s.executeStep();
    s.reset();
    return !out;
}
}  // namespace

std::vector<Outcome> Book::Transaction::judge(std::vector<Event>& drafts, const Evaluator& evaluator) {
    auto& book = work_->book;
    return guarded(book, [&] {
        Refold refold(book, evaluator);
        for (std::size_t i = 0; i < drafts.size(); ++i) {
            auto& draft = drafts[i];
            const auto id = work_->first_id + static_cast<std::int64_t>(i);
            draft.book = book.info.id;
            draft.branch = book.own_branch;
            draft.seq = work_->head.seq + 1 + static_cast<std::int64_t>(i);
            if (const auto* v = std::get_if<kinds::Void>(&draft.what)) {
                // also where the target is not here: it may come in with another book
                if (const auto named = digest_from_hex(v->target)) add_naming(book, *named, id);
                const auto target = event_with_digest(book, v->target);
                if (target && counted(book, *target)) {
                    const auto stored = book.load(*target);
                    if (!std::holds_alternative<kinds::Void>(stored.event.what)) {
                        done(bound(book.db.statement("INSERT INTO uncounted(event, by) VALUES (?, ?)"), *target, id));
                        refold.take_out(stored);
                    }
                }
            }
            if (const auto* r = std::get_if<kinds::Resolve>(&draft.what))
                add_resolved(book, r->finding, id, book.own_origin);
            if (const auto* k = std::get_if<kinds::Settle>(&draft.what)) {
                if (const auto named = digest_from_hex(k->target)) add_naming(book, *named, id);
                if (const auto returned = event_with_digest(book, k->target); returned && is_return(book, *returned)) {
                    refold.statements_changed(*returned);
                    tie_statement(book, id, draft.order(), *returned);
                }
            }
            if (const auto change = register_change(draft)) {
                book.reg.apply(*change, draft.order(), book.own_origin);
                refold.register_changed(*change);
            }
            refold.look_again(id, draft);
        }
        refold.run();
        std::vector<Outcome> outcomes;
        for (std::size_t i = 0; i < drafts.size(); ++i)
            outcomes.push_back(refold.outcome_of(work_->first_id + static_cast<std::int64_t>(i)));
        return outcomes;
    });
}

namespace {
// A word about books changes which events count.
bool changes_what_counts(const Event& event) {
    const auto* r = std::get_if<kinds::Resolve>(&event.what);
    return std::holds_alternative<kinds::Trust>(event.what) || std::holds_alternative<kinds::Withdraw>(event.what) ||
           (r && r->finding.starts_with(branch_prefix));
}
}  // namespace

std::vector<StoredEvent> Book::Transaction::commit(std::vector<Event>& drafts, const std::vector<Outcome>& outcomes,
                                                   const Evaluator& evaluator) {
    auto& book = work_->book;
    return guarded(book, [&] {
        std::vector<StoredEvent> stored;
        Digest previous = work_->head.digest;
        EventWriter events(book);
        for (std::size_t i = 0; i < drafts.size(); ++i) {
            auto& e = drafts[i];
            const auto id = work_->first_id + static_cast<std::int64_t>(i);
            e.previous = previous;
            previous = events.write(id, e);
            write_findings(book, id, outcomes[i].findings);
            stored.push_back({id, e, previous, {}, event_name(e.seq), false});
        }
        if (!drafts.empty()) sign_head(book, drafts.back().seq, previous);
        if (!book.one_book() && std::any_of(drafts.begin(), drafts.end(), changes_what_counts))
            project_all(book, evaluator);
        work_->open = false;
        commit_transaction(book, work_->head.seq + static_cast<std::int64_t>(drafts.size()));
        return stored;
    });
}

namespace {
constexpr std::string_view event_columns = "event(rowid, origin, seq, at, day, kind, job, own_id, digest, body)";
}  // namespace

EventWriter::EventWriter(Book::Impl& book, Rows rows) : book_(book) {
    if (rows == Rows::many)
        many_.emplace(book.db, event_columns, 10);
    else
        few_.emplace(book.db, fmt::format("INSERT INTO {} VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", event_columns));
}

Digest EventWriter::write(std::int64_t id, const Event& e) {
    const auto body = canonical_body(e);
    const auto digest = digest_of(body);
    const auto into = [&](auto& insert) {
        insert.row(id, book_.own_origin, e.seq, seconds_of(e.when.at),
                   static_cast<std::int64_t>(e.when.date().time_since_epoch().count()), e.kind(), e.job, e.own_id,
                   Insert::Bytes{{reinterpret_cast<const char*>(digest.data()), digest.size()}},
                   std::string_view(body));
    };
    many_ ? into(*many_) : into(*few_);
    return digest;
}

void EventWriter::flush() {
    if (many_) many_->flush();
}

void write_findings(Book::Impl& book, std::int64_t event_id, const std::vector<Finding>& findings) {
    std::int64_t n = 0;
    for (const auto& f : findings) {
        if (f.severity == Severity::note) continue;  // quiet lines are derived again where they are shown
        done(bound(
            book.db.statement("INSERT INTO finding(event, n, severity, name, subject, text, seen, expected, next, "
                              "accepted) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"),
            event_id, n++, static_cast<std::int64_t>(f.severity), f.check, f.subject, f.text, f.seen, f.expected,
            f.next, f.accepted));
    }
}

void commit_transaction(Book::Impl& book, std::int64_t seq) {
    commit_or_ask(book, {"up to " + event_name(seq),
                         "run: tarebook check; recording it again with an --own-id that was given does no harm",
                         [&]() -> std::optional<bool> {
                             SQLite::Statement s(book.db.raw(),
                                                 "SELECT coalesce(max(seq), 0) FROM head WHERE origin = ?");
                             s.bind(1, book.own_origin);
                             if (!s.executeStep()) return std::nullopt;
                             return s.getColumn(0).getInt64() >= seq;
                         }});
}

void sign_head(Book::Impl& book, std::int64_t seq, const Digest& digest) {
    const auto signature = signature_of(book, head_message(book.info.id, seq, digest));
    auto& s = bound(book.db.statement("INSERT INTO head(origin, seq, digest, signature) VALUES (?, ?, ?, ?)"),
                    book.own_origin, seq);
    bind_bytes(s, 3, digest);
    bind_bytes(s, 4, signature);
    done(s);
}

void Book::rebuild(const Evaluator& evaluator) {
    guarded(*impl_, [&] {
        auto& book = *impl_;
        Transaction::Work work(book);
        work.head = head();
        done(bound(book.db.statement("INSERT OR REPLACE INTO book(name, value) VALUES ('checks_edition', ?)"),
                   std::to_string(checks_edition)));
        // what was put in behind the last signed head is kept, and does not count
        if (const auto covered = last_signed(book); covered < work.head.seq) book.own_counts_to = covered;
        project_all(book, evaluator);
        book.own_counts_to.reset();
        work.open = false;
        commit_transaction(book, work.head.seq);
    });
}

}  // namespace tarebook
