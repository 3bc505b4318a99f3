// Statements and the returns that they are about. A statement touches no state of a cylinder: what it settles hangs on
// what its return moved, so the two are tied here, whichever was recorded, voided or judged anew last (I5).
#include <fmt/format.h>

#include "impl.hpp"
#include "refold.hpp"

namespace tarebook {
namespace {

constexpr const char* order_of_event = "SELECT at, origin, seq FROM event WHERE rowid = ?";

struct Place {
    std::int64_t at = 0, origin = 0, seq = 0;
};
Place place_of(Book::Impl& book, std::int64_t event_id) {
    auto& s = bound(book.db.statement(order_of_event), event_id);
    Place p;
    if (s.executeStep()) p = {s.getColumn(0).getInt64(), s.getColumn(1).getInt64(), s.getColumn(2).getInt64()};
    s.reset();
    return p;
}

std::optional<std::int64_t> return_of(Book::Impl& book, std::int64_t statement_id) {
    auto& s = bound(book.db.statement("SELECT returned FROM settlement WHERE event = ?"), statement_id);
    std::optional<std::int64_t> out;
    if (s.executeStep()) out = s.getColumn(0).getInt64();
    s.reset();
    return out;
}

Lots to_reclaimer(Book::Impl& book, std::int64_t return_id) {
    std::map<LotKey, MassTotal> sums;
    auto& s = bound(book.db.statement("SELECT l.refrigerant, l.owner, l.condition, p.mass FROM posting p JOIN account "
                                      "a ON a.id = p.account JOIN lot l ON l.id = p.lot WHERE p.event = ? AND a.kind "
                                      "= 'reclaimer'"),
                    return_id);
    while (s.executeStep())
        sums[{s.getColumn(0).getString(), s.getColumn(1).getString(),
              condition_from(s.getColumn(2).getString()).value_or(Condition::recovered)}] +=
            Mass::from_count(s.getColumn(3).getInt64());
    s.reset();
    Lots out;
    for (const auto& [key, sum] : sums)
        if (!sum.is_zero()) out.push_back({key, sum.value()});
    return out;
}

}  // namespace

void tie_statement(Book::Impl& book, std::int64_t statement_id, const OrderKey& order, std::int64_t return_id) {
    done(bound(book.db.statement("INSERT OR REPLACE INTO settlement(event, returned, at, origin, seq) VALUES (?, ?, ?, "
                                 "?, ?)"),
               statement_id, return_id, seconds_of(order.at), origin_of(order), order.seq));
}
void add_naming(Book::Impl& book, const Digest& named, std::int64_t event_id) {
    auto& s = book.db.statement("INSERT OR IGNORE INTO naming(digest, event) VALUES (?, ?)");
    bind_bytes(s, 1, named);
    s.bind(2, event_id);
    done(s);
}

// All others about the same return: which of them is the first may have changed.
void Refold::statements_changed(std::int64_t return_id) {
    auto& s = bound(book_.db.statement("SELECT event FROM settlement WHERE returned = ?"), return_id);
    std::vector<std::int64_t> ids;
    while (s.executeStep()) ids.push_back(s.getColumn(0).getInt64());
    s.reset();
    for (const auto id : ids)
        if (!fresh_.contains(id)) look_again(id);
}

void Refold::untie_statement(std::int64_t statement_id) {
    const auto returned = return_of(book_, statement_id);
    if (!returned) return;
    done(bound(book_.db.statement("DELETE FROM settlement WHERE event = ?"), statement_id));
    statements_changed(*returned);
}

std::optional<Sent> Refold::sent_to(std::int64_t statement_id, const OrderKey& order) {
    const auto returned = return_of(book_, statement_id);
    if (!returned) return std::nullopt;
    const auto stored = book_.load(*returned);
    const auto* k = std::get_if<kinds::Return>(&stored.event.what);
    auto& u = bound(book_.db.statement("SELECT 1 FROM uncounted WHERE event = ?"), *returned);
    const bool out_of_count = u.executeStep();
    u.reset();
    if (!k || out_of_count || order < stored.event.order()) return std::nullopt;
    Sent out{stored.event.order(), k->cylinder, k->to, to_reclaimer(book_, *returned), false};
    const auto from = place_of(book_, *returned);
    auto& s = bound(book_.db.statement("SELECT 1 FROM settlement WHERE returned = ? AND (at, origin, seq) > (?, ?, ?) "
                                       "AND (at, origin, seq) < (?, ?, ?)"),
                    *returned, from.at, from.origin, from.seq, seconds_of(order.at), origin_of(order), order.seq);
    out.settled = s.executeStep();
    s.reset();
    return out;
}

std::vector<Statement> Book::statements() const {
    return guarded(*impl_, [&] {
        auto& s = impl_->db.statement(
            "SELECT t.returned, t.event, e.day FROM settlement t JOIN event r ON r.rowid = t.returned "
            "JOIN event e ON e.rowid = t.event WHERE (t.at, t.origin, t.seq) > (r.at, r.origin, r.seq) AND NOT EXISTS "
            "(SELECT 1 FROM uncounted u WHERE u.event = t.returned) ORDER BY t.returned, t.at, t.origin, t.seq");
        std::vector<Statement> out;
        while (s.executeStep()) {
            const auto returned = s.getColumn(0).getInt64();
            if (!out.empty() && out.back().returned_id == returned) continue;  // the first one counts
            out.push_back({returned, s.getColumn(1).getInt64(), Date(std::chrono::days(s.getColumn(2).getInt()))});
        }
        s.reset();
        return out;
    });
}

std::vector<StoredEvent> Book::returns_of(std::string_view owner, Date from, Date to) const {
    return guarded(*impl_, [&] {
        static const std::string sql = fmt::format(
            "SELECT DISTINCT e.rowid FROM event e JOIN posting p ON p.event = e.rowid JOIN lot l ON l.id = p.lot "
            "WHERE e.{} AND e.kind = 'return' AND e.day >= ? AND e.day <= ? AND l.owner = ? AND NOT EXISTS (SELECT 1 "
            "FROM uncounted u WHERE u.event = e.rowid) ORDER BY e.at, e.origin, e.seq",
            watched_kinds);
        auto& s = bound(impl_->db.statement(sql.c_str()), static_cast<std::int64_t>(from.time_since_epoch().count()),
                        static_cast<std::int64_t>(to.time_since_epoch().count()), owner);
        return impl_->load_all(s);
    });
}

std::optional<StoredEvent> Book::statement_on(std::int64_t return_id) const {
    return guarded(*impl_, [&]() -> std::optional<StoredEvent> {
        auto& s = bound(impl_->db.statement(
                            "SELECT t.event FROM settlement t JOIN event r ON r.rowid = t.returned WHERE t.returned "
                            "= ? AND (t.at, t.origin, t.seq) > (r.at, r.origin, r.seq) ORDER BY t.at, t.origin, "
                            "t.seq LIMIT 1"),
                        return_id);
        std::optional<std::int64_t> id;
        if (s.executeStep()) id = s.getColumn(0).getInt64();
        s.reset();
        if (!id) return std::nullopt;
        return impl_->load(*id);
    });
}

}  // namespace tarebook
