// Questions about the few kinds of events that open and close clocks, or belong to a count: an index holds them alone
// (schema/book/0003 and 0005).
#include <fmt/format.h>

#include "impl.hpp"
#include "scan.hpp"

namespace tarebook {
namespace {

constexpr std::string_view in_the_index =
    "kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', 'count-unknown', 'count-weigh', "
    "'inspect', "
    "'leak', 'leak-test', 'plan', 'repair', 'return', 'settle')";

// Every leak that was ever recorded keeps its number, also one that was voided.
std::vector<std::int64_t> leak_rows(Book::Impl& book) {
    static const std::string sql =
        fmt::format("SELECT rowid FROM event WHERE {} AND kind = 'leak' ORDER BY origin, seq", in_the_index);
    auto& s = book.db.statement(sql.c_str());
    std::vector<std::int64_t> out;
    while (s.executeStep()) out.push_back(s.getColumn(0).getInt64());
    s.reset();
    return out;
}

}  // namespace

std::vector<KnownLeak> Book::leaks() const {
    return guarded(*impl_, [&] {
        std::vector<KnownLeak> out;
        for (const auto id : leak_rows(*impl_)) {
            auto stored = impl_->load(id);
            const auto number = static_cast<std::int64_t>(out.size()) + 1;
            out.push_back({leak_code(number), std::string(appliance_named_by(stored.event)), std::move(stored)});
        }
        return out;
    });
}

std::vector<Settled> Book::settled(std::string_view prefix) const {
    return guarded(*impl_, [&] {
        auto& s =
            bound(impl_->db.statement("SELECT r.finding, min(e.rowid), e.seq, e.day FROM resolved r JOIN event e ON "
                                      "e.rowid = r.event WHERE r.finding >= ?1 AND r.finding < ?2 GROUP BY "
                                      "r.finding ORDER BY r.finding"),
                  prefix, std::string(prefix) + "\U0010FFFF");
        std::vector<Settled> out;
        while (s.executeStep())
            out.push_back({s.getColumn(0).getString(), s.getColumn(1).getInt64(), s.getColumn(2).getInt64(),
                           Date(std::chrono::days(s.getColumn(3).getInt()))});
        s.reset();
        return out;
    });
}

void Book::each_entry(EntryKind kind, const std::function<void(const Entry&)>& visit) const {
    guarded(*impl_, [&] {
        Scan s(
            impl_->db,
            fmt::format(
                "SELECT e.code, f.name, f.at, f.origin, f.seq, f.value, f.mass FROM entry e JOIN field f ON f.entry = "
                "e.id WHERE e.kind = '{}' ORDER BY e.code, f.name, f.at, f.origin, f.seq",
                tarebook::text_of(kind)));
        std::optional<Entry> entry;
        while (s.next()) {
            if (!entry || entry->code() != s.bytes(0)) {
                if (entry) visit(*entry);
                entry.emplace(kind, std::string(s.bytes(0)));
            }
            entry->set(
                std::string(s.bytes(1)),
                {Instant(std::chrono::seconds(s.integer(2))), impl_->book_of(s.integer(3)), s.integer(4)},
                {std::string(s.bytes(5)), s.is_null(6) ? std::nullopt : std::optional(Mass::from_count(s.integer(6)))});
        }
        if (entry) visit(*entry);
    });
}

std::vector<StoredEvent> Book::watched_events(std::string_view kind, Instant since) const {
    return guarded(*impl_, [&] {
        static const std::string sql = fmt::format(
            "SELECT rowid FROM event WHERE {} AND kind = ? AND at >= ? AND NOT EXISTS (SELECT 1 FROM uncounted u WHERE "
            "u.event = event.rowid) ORDER BY at, origin, seq",
            in_the_index);
        auto& s =
            bound(impl_->db.statement(sql.c_str()), kind, static_cast<std::int64_t>(since.time_since_epoch().count()));
        return impl_->load_all(s);
    });
}

}  // namespace tarebook
