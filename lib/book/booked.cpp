// A walk over all events with the postings of each. Most events are recorded in order of time, so that their postings
// follow one another: one cursor runs beside the events, and is placed again only where the order of time leaves that
// of the rows.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <memory>

#include "impl.hpp"

namespace tarebook {
namespace {

class Names {
 public:
    explicit Names(Db& db) {
        for (auto s = db.ask("SELECT id, kind, code FROM account"); s.next();)
            accounts_[s.integer(0)] = {account_kind_from(s.bytes(1)).value(), std::string(s.bytes(2))};
        for (auto s = db.ask("SELECT id, refrigerant, owner, condition FROM lot"); s.next();)
            lots_[s.integer(0)] = {std::string(s.bytes(1)), std::string(s.bytes(2)),
                                   condition_from(s.bytes(3)).value()};
    }
    [[nodiscard]] const Account* account(std::int64_t id) const { return &named(accounts_, id); }
    [[nodiscard]] const LotKey* lot(std::int64_t id) const { return &named(lots_, id); }

 private:
    template <class T>
    static const T& named(const std::unordered_map<std::int64_t, T>& names, std::int64_t id) {
        const auto it = names.find(id);
        if (it == names.end())
            throw StorageError("a posting names an account or a lot that the book does not have",
                               "run: tarebook check");
        return it->second;
    }
    std::unordered_map<std::int64_t, Account> accounts_;
    std::unordered_map<std::int64_t, LotKey> lots_;
};

class Postings {
 public:
    Postings(Db& db, const Names& names) : db_(db), names_(names) {}

    const std::vector<BookedPosting>& of(std::int64_t event) {
        out_.clear();
        const bool near = scan_ && event >= next_ && event - next_ <= 64;
        if (!near && event != last_ + 1)
            look_up(event);
        else
            run_to(event, near);
        last_ = event;
        return out_;
    }

 private:
    void run_to(std::int64_t event, bool near) {
        if (!near) {
            scan_.reset();
            scan_.emplace(
                db_.walk("SELECT event, account, lot, mass FROM posting WHERE event >= ? ORDER BY event, n", event));
            more_ = scan_->next();
        }
        while (more_ && scan_->integer(0) < event) more_ = scan_->next();
        for (; more_ && scan_->integer(0) == event; more_ = scan_->next())
            take(scan_->integer(1), scan_->integer(2), scan_->integer(3));
        next_ = event + 1;
    }
    void look_up(std::int64_t event) {
        auto s = db_.ask("SELECT account, lot, mass FROM posting WHERE event = ? ORDER BY n", event);
        while (s.next()) take(s.integer(0), s.integer(1), s.integer(2));
    }
    void take(std::int64_t account, std::int64_t lot, std::int64_t count) {
        out_.push_back({names_.account(account), names_.lot(lot), Mass::from_count(count)});
    }

    Db& db_;
    const Names& names_;
    std::optional<Answer> scan_;
    bool more_ = false;
    std::int64_t next_ = 0;   // the event behind the last one that the running cursor passed
    std::int64_t last_ = -2;  // the last event that was asked for
    std::vector<BookedPosting> out_;
};

}  // namespace

namespace {

// Gives rows of events to a visitor, each with its postings and the void that takes it out.
class BookedRows {
 public:
    explicit BookedRows(Book::Impl& book)
        : book_(book),
          kept_out_(book.quarantined_rows()),
          names_(std::make_shared<const Names>(book.db)),
          postings_(book.db, *names_) {
        book.booked_names = std::const_pointer_cast<Names>(names_);
        for (auto s = book.db.ask(
                 "SELECT u.event, v.at, v.origin, v.seq, v.digest FROM ineffective u JOIN event v ON v.id = u.by");
             s.next();)
            voided_.emplace(s.integer(0),
                            std::pair(book.key(s.integer(1), s.integer(2), s.integer(3)), digest_from(s.bytes(4))));
    }
    // Columns: id, digest, body, day, kind, at, origin, seq.
    Walk visit(const Answer& s, const ForEach<const BookedEvent&>& visitor) {
        BookedEvent e;
        const auto origin = s.integer(6);
        const bool own = origin == book_.own_origin || book_.is_own_before_branch(origin, s.integer(7));
        e.stored = {s.integer(0), s.bytes(1), s.bytes(2), {}, own};
        if (!kept_out_.empty() && kept_out_.contains(e.stored.id)) return Walk::on;
        if (const auto v = voided_.find(e.stored.id); v != voided_.end()) {
            e.voided_order = v->second.first;
            e.voided_by = v->second.second;
        }
        e.day = Date(std::chrono::days(s.integer(3)));
        e.kind = s.bytes(4);
        e.order = book_.key(s.integer(5), s.integer(6), s.integer(7));
        e.stored.branch = e.order.branch;
        e.postings = postings_.of(e.stored.id);
        return visitor(e);
    }

 private:
    Book::Impl& book_;
    std::unordered_set<std::int64_t> kept_out_;
    std::shared_ptr<const Names> names_;
    Postings postings_;
    std::unordered_map<std::int64_t, std::pair<OrderKey, Digest>> voided_;  // by which void
};

std::string known_exceptions_where(std::string_view condition) {
    return fmt::format(
        "SELECT f.event, e.digest, e.day, f.severity, f.name, f.subject, f.text, f.seen, f.expected, f.next, "
        "f.accepted, (SELECT v.digest FROM resolved r JOIN event v ON v.id = r.event WHERE r.finding = f.name || '/' "
        "|| f.subject AND r.about = f.event ORDER BY v.at, v.origin, v.seq LIMIT 1), e.kind FROM finding f JOIN event "
        "e ON e.id = f.event WHERE f.severity > 0 AND {} ORDER BY e.at, e.origin, e.seq, f.n",
        condition);
}
KnownException known_exception(const Answer& s) {
    KnownException x;
    x.event_id = s.integer(0);
    x.event = digest_from(s.bytes(1));
    x.day = Date(std::chrono::days(s.integer(2)));
    x.finding.severity = static_cast<Severity>(s.integer(3));
    std::string* const words[] = {&x.finding.check,    &x.finding.subject, &x.finding.text,    &x.finding.seen,
                                  &x.finding.expected, &x.finding.next,    &x.finding.accepted};
    for (int n = 0; n < 7; ++n) *words[n] = s.bytes(4 + n);
    if (!s.is_null(11)) x.resolved_by = digest_from(s.bytes(11));
    x.kind = s.bytes(12);
    return x;
}

}  // namespace

void Book::each_booked(const ForEach<const BookedEvent&>& visit) const {
    guarded(*impl_, [&] {
        BookedRows rows(*impl_);
        auto s =
            impl_->db.walk("SELECT id, digest, body, day, kind, at, origin, seq FROM event ORDER BY at, origin, seq");
        while (s.next())
            if (rows.visit(s, visit) == Walk::stop) return;
    });
}

void Book::each_booked_of(const std::vector<std::int64_t>& event_ids, const ForEach<const BookedEvent&>& visit) const {
    guarded(*impl_, [&] {
        BookedRows rows(*impl_);
        for (const auto id : event_ids) {
            auto s = impl_->db.ask("SELECT id, digest, body, day, kind, at, origin, seq FROM event WHERE id = ?", id);
            if (s.next() && rows.visit(s, visit) == Walk::stop) return;
        }
    });
}

void Book::each_exception(Date from, Date to, const ForEach<KnownException&&>& visit) const {
    guarded(*impl_, [&] {
        static const std::string sql = known_exceptions_where("e.day BETWEEN ?1 AND ?2");
        auto s = impl_->db.ask(sql.c_str(), std::int64_t{from.time_since_epoch().count()},
                               std::int64_t{to.time_since_epoch().count()});
        while (s.next())
            if (visit(known_exception(s)) == Walk::stop) return;
    });
}

std::vector<KnownException> Book::exceptions_of(std::int64_t event_id) const {
    return guarded(*impl_, [&] {
        static const std::string sql = known_exceptions_where("f.event = ?");
        auto s = impl_->db.ask(sql.c_str(), event_id);
        std::vector<KnownException> out;
        while (s.next()) out.push_back(known_exception(s));
        return out;
    });
}

std::vector<StoredEvent> Book::events_of_kind(std::string_view kind) const {
    return guarded(*impl_, [&] {
        return impl_->load_all(
            impl_->db.integers("SELECT id FROM event WHERE kind = ? AND id NOT IN (SELECT event FROM "
                               "ineffective) ORDER BY at, origin, seq",
                               kind));
    });
}

}  // namespace tarebook
