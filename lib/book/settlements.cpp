// Statements and their returns. A statement touches no state of a cylinder: it depends on what its return moved.
#include <fmt/format.h>

#include "impl.hpp"

namespace tarebook {
std::vector<Statement> Book::statements() const {
    return guarded(*impl_, [&] {
        auto s = impl_->db.ask(
            "SELECT t.returned, t.event, e.day FROM settlement t JOIN event r ON r.id = t.returned "
            "JOIN event e ON e.id = t.event WHERE (t.at, t.origin, t.seq) > (r.at, r.origin, r.seq) AND NOT EXISTS "
            "(SELECT 1 FROM ineffective u WHERE u.event = t.returned) ORDER BY r.at, r.origin, r.seq, t.at, t.origin, "
            "t.seq");
        std::vector<Statement> out;
        while (s.next()) {
            const auto returned = s.integer(0);
            if (!out.empty() && out.back().returned_id == returned) continue;  // the first statement counts
            out.push_back({returned, s.integer(1), Date(std::chrono::days(s.integer(2)))});
        }
        return out;
    });
}

std::vector<StoredEvent> Book::returns_of(std::string_view owner, Date from, Date to) const {
    return guarded(*impl_, [&] {
        static const std::string sql = fmt::format(
            "SELECT DISTINCT e.id, e.at, e.origin, e.seq FROM event e JOIN posting p ON p.event = e.id JOIN lot l ON "
            "l.id = p.lot "
            "WHERE e.{} AND e.kind = 'return' AND e.day >= ? AND e.day <= ? AND l.owner = ? AND NOT EXISTS (SELECT 1 "
            "FROM ineffective u WHERE u.event = e.id) ORDER BY e.at, e.origin, e.seq",
            watched_kinds);
        return impl_->load_all(impl_->db.integers(sql.c_str(),
                                                  static_cast<std::int64_t>(from.time_since_epoch().count()),
                                                  static_cast<std::int64_t>(to.time_since_epoch().count()), owner));
    });
}

std::optional<StoredEvent> Book::statement_on(const EventHandle& returned) const {
    return guarded(*impl_, [&]() -> std::optional<StoredEvent> {
        const auto id = impl_->db.integer(
            "SELECT t.event FROM settlement t JOIN event r ON r.id = t.returned WHERE t.returned "
            "= ? AND (t.at, t.origin, t.seq) > (r.at, r.origin, r.seq) ORDER BY t.at, t.origin, "
            "t.seq LIMIT 1",
            impl_->row_of(returned));
        if (!id) return std::nullopt;
        return impl_->load(*id);
    });
}

}  // namespace tarebook
