#include "impl.hpp"

namespace tarebook {

const Entry* DbRegister::find(EntryKind kind, std::string_view code) const try {
    auto& latest = latest_[static_cast<std::size_t>(kind)];
    if (latest && latest->first == code) return latest->second.get();
    auto& codes = cache_[static_cast<std::size_t>(kind)];
    auto it = codes.find(code);
    if (it == codes.end()) {
        it = codes.try_emplace(std::string(code)).first;
        auto& s = db_.statement(
            "SELECT f.name, f.at, o.book, f.seq, f.value, f.mass, o.branch FROM entry e JOIN field f ON f.entry = e.id "
            "JOIN origin o ON o.id = f.origin WHERE e.kind = ? AND e.code = ?");
        bound(s, text_of(kind), code);
        Entry entry(kind, std::string(code));
        while (s.executeStep()) {
            const OrderKey from{Instant(std::chrono::seconds(s.getColumn(1).getInt64())), bytes_of<16>(s.getColumn(2)),
                                s.getColumn(3).getInt64(), static_cast<std::uint16_t>(s.getColumn(6).getInt())};
            FieldValue value{s.getColumn(4).getString(), {}};
            if (!s.getColumn(5).isNull()) value.mass = Mass::from_count(s.getColumn(5).getInt64());
            entry.set(s.getColumn(0).getString(), from, std::move(value));
        }
        s.reset();
        if (!entry.empty()) it->second = std::make_unique<Entry>(std::move(entry));
    }
    latest = &*it;
    return it->second.get();
} catch (const SQLite::Exception& e) {
    rethrow_as_storage_error(e, db_.raw().getFilename(), false);
}

std::string DbRegister::group_of(std::string_view owner) const try {
    if (const auto known = groups_.find(owner); known != groups_.end()) return known->second;
    // The last word in total order of any of the owner's sites; the same rule as RegisterInMemory.
    auto& s = db_.statement(
        "SELECT g.value FROM entry e JOIN field g ON g.entry = e.id AND g.name = 'owner_group' WHERE e.kind = 'site' "
        "AND "
        "(SELECT value FROM field WHERE entry = e.id AND name = 'owner' ORDER BY at DESC, origin DESC, seq DESC LIMIT "
        "1) "
        "= ?1 AND (g.at, g.origin, g.seq) = (SELECT at, origin, seq FROM field WHERE entry = e.id AND name = "
        "'owner_group' ORDER BY at DESC, origin DESC, seq DESC LIMIT 1) AND g.value <> '' "
        "ORDER BY g.at DESC, g.origin DESC, g.seq DESC LIMIT 1");
    bound(s, owner);
    std::string group = s.executeStep() ? s.getColumn(0).getString() : std::string(owner);
    s.reset();
    groups_.emplace(owner, group);
    return group;
} catch (const SQLite::Exception& e) {
    rethrow_as_storage_error(e, db_.raw().getFilename(), false);
}

void DbRegister::apply(const RegisterChange& change, const OrderKey& order, std::int64_t origin) {
    done(bound(db_.statement("INSERT OR IGNORE INTO entry(kind, code) VALUES (?, ?)"), text_of(change.entry),
               change.code));
    for (const auto& [name, value] : change.values) {
        auto& s = db_.statement(
            "INSERT OR REPLACE INTO field(entry, name, at, origin, seq, value, mass) "
            "VALUES ((SELECT id FROM entry WHERE kind = ? AND code = ?), ?, ?, ?, ?, ?, ?)");
        bound(s, text_of(change.entry), change.code, name, seconds_of(order.at), origin, order.seq, value.text);
        if (value.mass) s.bind(8, value.mass->count());
        done(s);
    }
    latest_[static_cast<std::size_t>(change.entry)] = nullptr;
    cache_[static_cast<std::size_t>(change.entry)].erase(change.code);
    if (change.entry == EntryKind::site) groups_.clear();
}

void DbRegister::take_out(const RegisterChange& change, const OrderKey& order, std::int64_t origin) {
    done(bound(db_.statement("DELETE FROM field WHERE entry = (SELECT id FROM entry WHERE kind = ? AND code = ?) "
                             "AND at = ? AND origin = ? AND seq = ?"),
               text_of(change.entry), change.code, seconds_of(order.at), origin, order.seq));
    done(bound(db_.statement("DELETE FROM entry WHERE kind = ? AND code = ? AND NOT EXISTS "
                             "(SELECT 1 FROM field WHERE entry = entry.id)"),
               text_of(change.entry), change.code));
    forget();
}

}  // namespace tarebook
