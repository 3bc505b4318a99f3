#include "concerned.hpp"

namespace tarebook {

bool book_has_events(Book::Impl& book) {
    return book.db.raw().execAndGet("SELECT EXISTS (SELECT 1 FROM step) OR EXISTS (SELECT 1 FROM posting)").getInt() !=
           0;
}

void add_naming(Book::Impl& book, const Digest& named, std::int64_t event_id) {
    auto& s = book.db.statement("INSERT OR IGNORE INTO naming(digest, event) VALUES (?, ?)");
    bind_bytes(s, 1, named);
    s.bind(2, event_id);
    done(s);
}

bool is_return(Book::Impl& book, std::int64_t row) {
    auto& s =
        bound(book.db.statement("SELECT 1 FROM event WHERE rowid = ?1 AND kind = 'return' AND NOT EXISTS (SELECT 1 "
                                "FROM uncounted WHERE event = ?1 AND by = 0)"),
              row);
    const bool out = s.executeStep();
    s.reset();
    return out;
}

template <class... T>
void Concerned::collect(const char* sql, const T&... values) {
    auto& s = bound(book_.db.statement(sql), values...);
    std::vector<std::int64_t> rows;
    while (s.executeStep()) rows.push_back(s.getColumn(0).getInt64());
    s.reset();
    for (const auto row : rows) replay_.look_again(row);
}

void Concerned::register_changed(const RegisterChange& change) {
    switch (change.entry) {
        case EntryKind::cylinder:
            collect(
                "SELECT event FROM step WHERE cylinder = (SELECT id FROM account WHERE kind = 'cylinder' AND code = ?)",
                change.code);
            break;
        case EntryKind::site:
            owner_changed(change);
            [[fallthrough]];
        case EntryKind::appliance:
            collect(
                "SELECT DISTINCT p.event FROM account a JOIN posting p ON p.account = a.id AND p.circuit_day IS NOT "
                "NULL WHERE a.kind = 'circuit' AND (a.code = ?1 OR (a.code > ?1 || '/' AND a.code < ?1 || '0'))",
                change.code);
            break;
        case EntryKind::circuit:
            break;  // see below
        case EntryKind::scale:
        case EntryKind::machine:
        case EntryKind::technician:
            codes_.insert(change.code);
            break;
    }
    // what another book said of the same entry
    if (!book_.one_book())
        collect(
            "SELECT DISTINCT e.rowid FROM field f JOIN event e ON e.origin = f.origin AND e.seq = f.seq WHERE f.entry "
            "= "
            "(SELECT id FROM entry WHERE kind = ? AND code = ?)",
            text_of(change.entry), change.code);
}

// Whose gas may meet whose changes anywhere in the book, unless nobody's gas of that name is in it yet.
void Concerned::owner_changed(const RegisterChange& change) {
    if (!change.values.contains("owner") && !change.values.contains("owner_group")) return;
    // Where other events spoke of the same site too, what is added or taken out here may change their sense.
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
    if (matters) collect("SELECT DISTINCT event FROM step");
}

// Rare, and any event may name one.
void Concerned::look_through_bodies() {
    if (codes_.empty()) return;
    std::vector<std::int64_t> rows;
    for (Scan s(book_.db, "SELECT rowid, body FROM event"); s.next();) {
        auto rest = s.bytes(1);
        for (auto quote = rest.find('"'); quote != std::string_view::npos;) {
            rest.remove_prefix(quote + 1);
            quote = rest.find('"');
            if (quote == std::string_view::npos || !codes_.contains(rest.substr(0, quote))) continue;
            rows.push_back(s.integer(0));
            break;
        }
    }
    for (const auto row : rows) replay_.look_again(row);
    codes_.clear();
}

void Concerned::take_out(const StoredEvent& target) {
    replay_.look_again(target.id);
    if (std::holds_alternative<kinds::Settle>(target.event.what))
        if (const auto returned = StoredTies(book_).returned_by(target.id)) {
            done(bound(book_.db.statement("DELETE FROM settlement WHERE event = ?"), target.id));
            replay_.look_again_at_statements(*returned);
        }
    done(bound(book_.db.statement("DELETE FROM resolved WHERE event = ?"), target.id));
    if (const auto change = register_change(target.event)) {
        const auto order = target.event.order();
        book_.reg.take_out(*change, order, origin_of(order));
        register_changed(*change);
    }
}

// All others about the same return are looked at: which of them is the first may have changed.
void Concerned::tie(std::int64_t statement, const Place& place, std::int64_t returned) {
    done(
        bound(book_.db.statement("INSERT OR REPLACE INTO settlement(event, returned, at, origin, seq) VALUES (?, ?, ?, "
                                 "?, ?)"),
              statement, returned, place.at, place.origin, place.seq));
    replay_.look_again_at_statements(returned);
}

}  // namespace tarebook
