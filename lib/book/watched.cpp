// Questions about the few kinds of events that open and close clocks, or belong to a stocktake: an index holds only
// these (schema/book/0003 and 0005). Recoveries since an instant are found by their order.
#include <fmt/format.h>

#include "impl.hpp"
#include "people.hpp"

namespace tarebook {

std::vector<KnownLeak> Book::leaks() const {
    return guarded(*impl_, [&] {
        std::vector<KnownLeak> out;
        const auto& known = impl_->known_leaks();
        for (std::size_t i = 0; i < known.rows.size(); ++i) {
            auto stored = impl_->load(known.rows[i]);
            if (stored.quarantined) continue;
            out.push_back({known.codes[i], std::string(appliance_named_by(stored.event)), std::move(stored)});
        }
        return out;
    });
}

std::vector<Resolution> Book::resolutions(std::string_view prefix) const {
    return guarded(*impl_, [&] {
        // The first statement settles the return.
        auto s = impl_->db.ask(
            "SELECT r.finding, r.about, e.id, e.day FROM resolved r JOIN event e ON e.id = r.event WHERE r.finding >= "
            "?1 AND r.finding < ?2 ORDER BY r.finding, r.about, e.at, e.origin, e.seq",
            prefix, std::string(prefix) + "\U0010FFFF");
        std::vector<Resolution> out;
        while (s.next()) {
            auto finding = s.text(0);
            if (const auto about = s.integer(1)) finding += "/" + impl_->name_of_row(about);
            if (!out.empty() && out.back().finding == finding) continue;
            const auto by = s.integer(2);
            out.push_back({std::move(finding), by, impl_->name_of_row(by), Date(std::chrono::days(s.integer(3)))});
        }
        return out;
    });
}

void Book::each_entry(EntryKind kind, const ForEach<const Entry&>& visit) const {
    guarded(*impl_, [&] {
        auto s = impl_->db.ask_once(fmt::format(
            "SELECT e.code, f.name, f.at, f.origin, f.seq, f.value, f.mass FROM entry e JOIN field f ON f.entry = "
            "e.id WHERE e.kind = '{}' ORDER BY e.code, f.name, f.at, f.origin, f.seq",
            tarebook::text_of(kind)));
        std::optional<Entry> entry;
        const auto pass_on = [&] {
            if (kind == EntryKind::technician) entry = with_names(impl_->db, *entry);
            return visit(*entry);
        };
        while (s.next()) {
            if (!entry || entry->code() != s.bytes(0)) {
                if (entry && pass_on() == Walk::stop) return;
                entry.emplace(kind, std::string(s.bytes(0)));
            }
            entry->set(
                std::string(s.bytes(1)), impl_->key(s.integer(2), s.integer(3), s.integer(4)),
                {std::string(s.bytes(5)), s.is_null(6) ? std::nullopt : std::optional(Mass::from_count(s.integer(6)))});
        }
        if (entry) pass_on();
    });
}

namespace {

std::vector<std::int64_t> watched_ids(Db& db, std::string_view kind, Instant since) {
    static const std::string sql = fmt::format(
        "SELECT id FROM event WHERE {} AND kind = ? AND at >= ? AND NOT EXISTS (SELECT 1 FROM ineffective u WHERE "
        "u.event = event.id) ORDER BY at, origin, seq",
        watched_kinds);
    return db.integers(sql.c_str(), kind, seconds_of(since));
}

}  // namespace

std::vector<StoredEvent> Book::watched_events(std::string_view kind, Instant since) const {
    return guarded(*impl_, [&] { return impl_->load_all(watched_ids(impl_->db, kind, since)); });
}

void Book::each_watched(std::string_view kind, const ForEach<const StoredEvent&>& visit) const {
    guarded(*impl_, [&] {
        for (const auto id : watched_ids(impl_->db, kind, Instant::min()))
            if (visit(impl_->load(id)) == Walk::stop) return;
    });
}

std::vector<StoredEvent> Book::recoveries_since(Instant since) const {
    return guarded(*impl_, [&] {
        return impl_->load_all(impl_->db.integers(
            "SELECT id FROM event WHERE at >= ? AND kind = 'recover' AND NOT EXISTS (SELECT 1 FROM ineffective u WHERE "
            "u.event = event.id) ORDER BY at, origin, seq",
            seconds_of(since)));
    });
}

}  // namespace tarebook
