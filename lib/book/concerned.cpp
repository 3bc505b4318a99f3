#include "concerned.hpp"

#include "to_judge.hpp"

namespace tarebook {

bool book_has_events(Book::Impl& book) {
    return book.db.integer("SELECT EXISTS (SELECT 1 FROM step) OR EXISTS (SELECT 1 FROM posting)").value_or(0) != 0;
}

void add_naming(Book::Impl& book, const Digest& named, std::int64_t event_id) {
    book.db.send("INSERT INTO naming(digest, event) VALUES (?, ?) ON CONFLICT DO NOTHING", named, event_id);
}

bool note_void(Book::Impl& book, std::int64_t target, std::int64_t void_row, const Place& place) {
    auto s = book.db.ask(
        "SELECT e.kind, u.by, v.at, v.origin, v.seq FROM event e LEFT JOIN ineffective u ON "
        "u.event = e.id LEFT JOIN event v ON v.id = u.by WHERE e.id = ?",
        target);
    const bool there = s.next();
    const bool takes = there && s.text(0) != kinds::Void::name;
    const bool out = there && !s.is_null(1);
    const bool by_a_void = out && s.integer(1) != 0;
    const bool earlier = by_a_void && place < Place{s.integer(2), s.integer(3), s.integer(4)};
    if (!takes || (out && !earlier)) return false;
    book.db.run("INSERT INTO ineffective(event, by) VALUES (?, ?) ON CONFLICT (event) DO UPDATE SET by = excluded.by",
                target, void_row);
    return !out;
}

bool is_return(Book::Impl& book, std::int64_t row) {
    return book.db.any(
        "SELECT 1 FROM event WHERE id = ?1 AND kind = 'return' AND NOT EXISTS (SELECT 1 "
        "FROM ineffective WHERE event = ?1 AND by = 0)",
        row);
}

template <class... T>
void Concerned::collect(const char* sql, const T&... values) {
    const auto rows = book_.db.integers(sql, values...);
    for (const auto row : rows) again_.enqueue(row);
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
            place_changed(change);
            break;
        case EntryKind::circuit:
            if (change.values.contains("side_test_pressure")) place_changed(change);
            break;  // the rest is handled below
        case EntryKind::scale:
        case EntryKind::machine:
        case EntryKind::technician:
            codes_.insert(change.code);
            break;
        case EntryKind::stock:
            break;  // no event is judged by it
    }
    // What another book says about the same entry may change too.
    if (!book_.one_book())
        collect(
            "SELECT DISTINCT e.id FROM field f JOIN event e ON e.origin = f.origin AND e.seq = f.seq WHERE f.entry "
            "= "
            "(SELECT id FROM entry WHERE kind = ? AND code = ?)",
            text_of(change.entry), change.code);
}

// The owner group decides which owners' gas may be mixed: each event of a cylinder that holds the owner's gas is judged
// again. An owner without gas in the book concerns no event.
void Concerned::owner_changed(const RegisterChange& change) {
    if (!change.values.contains("owner") && !change.values.contains("owner_group")) return;
    // Where other events set fields of the same site, this change may decide which of them holds.
    const auto* site = book_.reg.find(EntryKind::site, change.code);
    bool matters = !change.adds;
    if (site)
        for (const auto& [name, values] : site->fields())
            matters = matters || values.size() != 1 || !change.values.contains(name);
    if (const auto owner = change.values.find("owner"); !matters && owner != change.values.end()) {
        auto s = book_.db.ask("SELECT 1 FROM lot WHERE owner = ?", owner->second.text);
        matters = change.values.contains("owner_group") && s.next();
    }
    if (!matters) return;
    if (const auto owner = change.values.find("owner"); owner != change.values.end())
        owners_.insert(owner->second.text);
    if (!site) return;
    if (const auto said = site->fields().find("owner"); said != site->fields().end())
        for (const auto& value : said->second) owners_.insert(value.value.text);
}

void Concerned::untie_all(std::int64_t returned) {
    again_.enqueue_statements(returned);
    book_.db.run("DELETE FROM settlement WHERE returned = ?", returned);
}

void Concerned::finish() {
    look_through_bodies();
    enqueue_owners();
}

// Enqueues events of every cylinder and circuit through which gas of these owners went: a balance stays in its table as
// zero. That gas may be mixed with other gas, or put back into equipment of the same group.
void Concerned::enqueue_owners() {
    if (owners_.empty()) return;
    std::vector<std::string> sites;
    for (auto s = book_.db.ask(
             "SELECT e.code, f.value FROM entry e JOIN field f ON f.entry = e.id WHERE e.kind = 'site' AND f.name = "
             "'owner'");
         s.next();)
        if (owners_.contains(s.bytes(1))) sites.emplace_back(s.bytes(0));
    for (const auto& site : sites) enqueue_place(site);
    std::set<std::pair<std::int64_t, std::string>> cylinders;
    // While events wait to be judged anew, a step may still have gas that no posting tells of.
    const bool by_balances = !anything_waits(book_);
    for (auto s = by_balances
                      ? book_.db.ask("SELECT b.account, l.owner FROM balance b JOIN lot l ON l.id = b.lot JOIN account "
                                     "a ON a.id = b.account WHERE a.kind = 'cylinder'")
                      : book_.db.ask("SELECT a.id, l.owner FROM account a, (SELECT DISTINCT owner FROM lot) l WHERE "
                                     "a.kind = 'cylinder'");
         s.next();)
        if (owners_.contains(s.bytes(1))) cylinders.emplace(s.integer(0), s.bytes(1));
    for (const auto& [cylinder, owner] : cylinders)
        collect(
            "SELECT event FROM (SELECT event, instr(state, ?2) AS has, lag(instr(state, ?2)) OVER (ORDER BY at, "
            "origin, seq) AS had FROM step WHERE cylinder = ?1) AS one WHERE has > 0 OR had > 0",
            cylinder, Bytes{owner});
    owners_.clear();
}

void Concerned::enqueue_place(const std::string& code) {
    collect(
        "SELECT DISTINCT p.event FROM account a JOIN posting p ON p.account = a.id AND p.circuit_day IS NOT NULL WHERE "
        "a.kind = 'circuit' AND (a.code = ?1 OR (a.code > ?1 || '/' AND a.code < ?1 || '0'))",
        code);
}

// What moved no gas has no posting that would lead to it, and is judged by its place, too: an evacuation, what an
// identifier showed, a recovery that found nothing.
// A code that is added for the first time in the only book is in none of the events before.
void Concerned::place_changed(const RegisterChange& change) {
    enqueue_place(change.code);
    const bool is_first = change.adds && book_.one_book() && !book_.db.any("SELECT 1 FROM ineffective");
    if (!is_first) places_.insert(change.code);
}

bool Concerned::is_at_a_changed_place(std::string_view body) const {
    for (const std::string_view field : {R"("circuit":")", R"("appliance":")"}) {
        const auto at = body.find(field);
        if (at == std::string_view::npos) continue;
        auto code = body.substr(at + field.size());
        code = code.substr(0, code.find('"'));
        for (const auto& place : places_)
            if (code == place || (code.starts_with(place) && code.substr(place.size()).starts_with('/'))) return true;
    }
    return false;
}

// Rare, and any kind of event may name such an entry.
void Concerned::look_through_bodies() {
    std::vector<std::int64_t> at_places;
    if (!places_.empty())
        for (auto s = book_.db.ask("SELECT id, body FROM event WHERE kind <> 'entry'"); s.next();)
            if (is_at_a_changed_place(s.bytes(1))) at_places.push_back(s.integer(0));
    for (const auto row : at_places) again_.enqueue(row);
    places_.clear();
    if (codes_.empty()) return;
    std::vector<std::int64_t> rows;
    for (auto s = book_.db.ask("SELECT id, body FROM event"); s.next();) {
        auto rest = s.bytes(1);
        for (auto quote = rest.find('"'); quote != std::string_view::npos;) {
            rest.remove_prefix(quote + 1);
            quote = rest.find('"');
            if (quote == std::string_view::npos || !codes_.contains(rest.substr(0, quote))) continue;
            rows.push_back(s.integer(0));
            break;
        }
    }
    for (const auto row : rows) again_.enqueue(row);
    codes_.clear();
}

void Concerned::retract(const StoredEvent& target) {
    again_.enqueue(target.id);
    if (std::holds_alternative<kinds::Settle>(target.event.what))
        if (const auto returned = StoredTies(book_).returned_by(target.id)) {
            book_.db.run("DELETE FROM settlement WHERE event = ?", target.id);
            again_.enqueue_statements(*returned);
        }
    book_.db.run("DELETE FROM resolved WHERE event = ?", target.id);
    if (const auto change = register_change(target.event)) {
        const auto order = target.event.order();
        book_.reg.retract(*change, order, origin_of(order));
        register_lacks(*change);
    }
}

void Concerned::register_lacks(const RegisterChange& change) {
    register_changed(change);
    if (change.entry == EntryKind::site || change.entry == EntryKind::appliance ||
        (change.entry == EntryKind::circuit && change.values.contains("side_test_pressure")))
        places_.insert(change.code);
}

// Enqueues all other statements about the same return: another one may now be the first.
void Concerned::tie(std::int64_t statement, const Place& place, std::int64_t returned) {
    book_.db.run(
        "INSERT INTO settlement(event, returned, at, origin, seq) VALUES (?, ?, ?, ?, ?) ON CONFLICT (event) DO UPDATE "
        "SET returned = excluded.returned, at = excluded.at, origin = excluded.origin, seq = excluded.seq",
        statement, returned, place.at, place.origin, place.seq);
    again_.enqueue_statements(returned);
}

}  // namespace tarebook
