#include "impl.hpp"

namespace tarebook {

const Entry* DbRegister::find(EntryKind kind, std::string_view code) const try {
    auto& latest = latest_[static_cast<std::size_t>(kind)];
    if (latest && latest->first == code) return latest->second.get();
    auto& codes = cache_[static_cast<std::size_t>(kind)];
    auto it = codes.find(code);
    if (it == codes.end()) {
        it = codes.try_emplace(std::string(code)).first;
        auto s = db_.ask(
            "SELECT f.name, f.at, o.book, f.seq, f.value, f.mass, o.branch FROM entry e JOIN field f ON f.entry = e.id "
            "JOIN origin o ON o.id = f.origin WHERE e.kind = ? AND e.code = ?",
            text_of(kind), code);
        Entry entry(kind, std::string(code));
        while (s.next()) {
            const OrderKey from{Instant(std::chrono::seconds(s.integer(1))), s.fixed<16>(2), s.integer(3),
                                static_cast<std::uint16_t>(s.integer(6))};
            FieldValue value{s.text(4), {}};
            if (!s.is_null(5)) value.mass = Mass::from_count(s.integer(5));
            entry.set(s.text(0), from, std::move(value));
        }
        if (!entry.empty()) it->second = std::make_unique<Entry>(std::move(entry));
    }
    latest = &*it;
    return it->second.get();
} catch (const DbError& e) {
    rethrow_as_storage_error(e, db_.patience().book(), false);
}

std::string DbRegister::group_of(std::string_view owner) const try {
    if (const auto known = groups_.find(owner); known != groups_.end()) return known->second;
    // The latest value in total order of any site of the owner counts; RegisterInMemory has the same rule.
    auto s = db_.ask(
        "SELECT g.value FROM entry e JOIN field g ON g.entry = e.id AND g.name = 'owner_group' WHERE e.kind = 'site' "
        "AND "
        "(SELECT value FROM field WHERE entry = e.id AND name = 'owner' ORDER BY at DESC, origin DESC, seq DESC LIMIT "
        "1) "
        "= ?1 AND (g.at, g.origin, g.seq) = (SELECT at, origin, seq FROM field WHERE entry = e.id AND name = "
        "'owner_group' ORDER BY at DESC, origin DESC, seq DESC LIMIT 1) AND g.value <> '' "
        "ORDER BY g.at DESC, g.origin DESC, g.seq DESC LIMIT 1",
        owner);
    std::string group = s.next() ? s.text(0) : std::string(owner);
    groups_.emplace(owner, group);
    return group;
} catch (const DbError& e) {
    rethrow_as_storage_error(e, db_.patience().book(), false);
}

void DbRegister::apply(const RegisterChange& change, const OrderKey& order, std::int64_t origin) {
    db_.run("INSERT INTO entry(kind, code) VALUES (?, ?) ON CONFLICT DO NOTHING", text_of(change.entry), change.code);
    for (const auto& [name, value] : change.values) {
        db_.run(
            "INSERT INTO field(entry, name, at, origin, seq, value, mass) "
            "VALUES ((SELECT id FROM entry WHERE kind = ? AND code = ?), ?, ?, ?, ?, ?, ?) ON CONFLICT (entry, name, "
            "at, "
            "origin, seq) DO UPDATE SET value = excluded.value, mass = excluded.mass",
            text_of(change.entry), change.code, name, seconds_of(order.at), origin, order.seq, value.text,
            value.mass ? std::optional(value.mass->count()) : std::nullopt);
    }
    ++changes_;
    latest_[static_cast<std::size_t>(change.entry)] = nullptr;
    cache_[static_cast<std::size_t>(change.entry)].erase(change.code);
    if (change.entry == EntryKind::site) groups_.clear();
}

void DbRegister::retract(const RegisterChange& change, const OrderKey& order, std::int64_t origin) {
    db_.run(
        "DELETE FROM field WHERE entry = (SELECT id FROM entry WHERE kind = ? AND code = ?) "
        "AND at = ? AND origin = ? AND seq = ?",
        text_of(change.entry), change.code, seconds_of(order.at), origin, order.seq);
    db_.run(
        "DELETE FROM entry WHERE kind = ? AND code = ? AND NOT EXISTS "
        "(SELECT 1 FROM field WHERE entry = entry.id)",
        text_of(change.entry), change.code);
    forget();
}

}  // namespace tarebook
