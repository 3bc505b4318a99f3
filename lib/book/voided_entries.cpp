#include "voided_entries.hpp"

#include <algorithm>

namespace tarebook {

std::multimap<std::string, VoidedEntry, std::less<>> voided_cylinder_entries(Book::Impl& book) {
    std::multimap<std::string, VoidedEntry, std::less<>> out;
    // From what voids name, which is little, to the events: CROSS JOIN keeps SQLite from reading all events first.
    constexpr const char* sql =
        "SELECT e.body, n.event FROM naming n CROSS JOIN event e ON substr(e.digest, 1, 8) = substr(n.digest, 1, 8) "
        "AND "
        "e.digest = n.digest AND e.kind = 'entry' CROSS JOIN ineffective u ON u.event = e.id AND u.by <> 0 WHERE NOT "
        "EXISTS (SELECT 1 FROM ineffective v WHERE v.event = n.event)";
    for (auto s = book.db.ask(sql); s.next();) {
        const auto event = event_from_body(s.bytes(0));
        const auto* entry = event ? added_cylinder(*event) : nullptr;
        if (entry) out.emplace(entry->code, VoidedEntry{s.integer(1), facts_said_by(*entry)});
    }
    return out;
}

namespace {
// Whether an event that counts, or the register of another book, still adds it.
bool still_added(Book::Impl& book, const std::string& code) {
    auto s = book.db.ask(
        "SELECT DISTINCT e.body FROM entry n JOIN field f ON f.entry = n.id LEFT JOIN event "
        "e ON e.origin = f.origin AND e.seq = f.seq WHERE n.kind = 'cylinder' AND n.code = "
        "?",
        code);
    bool added = false;
    while (!added && s.next()) {
        const auto event = event_from_body(s.text(0));
        added = s.is_null(0) || (event && added_cylinder(*event));
    }
    return added;
}
// Whether a person accepted the void: with --anyway, or by `resolve` later.
bool taken_on(Book::Impl& book, const std::string& code, std::int64_t void_row) {
    auto s = book.db.ask(
        "SELECT EXISTS (SELECT 1 FROM finding WHERE event = ?1 AND name = "
        "'entry-holds-gas' AND subject = ?2) OR EXISTS (SELECT 1 FROM resolved WHERE "
        "finding = 'entry-holds-gas/' || ?2 AND about = ?1)",
        void_row, code);
    const bool out = s.next() && s.integer(0) != 0;
    return out;
}
}  // namespace

std::vector<VoidOfLastEntry> unexplained_voids_of_entries(Book::Impl& book) {
    std::vector<VoidOfLastEntry> out;
    const auto voided = voided_cylinder_entries(book);
    for (auto it = voided.begin(); it != voided.end();) {
        const auto first = it;
        it = voided.upper_bound(first->first);
        const auto& code = first->first;
        if (still_added(book, code)) continue;
        VoidOfLastEntry last{code, book.load(first->second.void_row), first->second.facts.tare};
        for (auto other = std::next(first); other != it; ++other)
            if (auto by = book.load(other->second.void_row); last.by.event.order() < by.event.order())
                last = {code, std::move(by), other->second.facts.tare};
        if (!taken_on(book, code, last.by.id)) out.push_back(std::move(last));
    }
    return out;
}

Unregistered::Unregistered(Book::Impl& book) : book_(book), voided_(voided_cylinder_entries(book)) {}

bool Unregistered::takes(CylinderNow& now, bool has_entry) {
    const auto [first, end] = voided_.equal_range(now.code);
    if (has_entry && (first == end || still_added(book_, now.code))) return false;
    now.in_register = false;
    std::optional<OrderKey> latest;
    for (auto it = first; it != end; ++it) {
        const auto by = book_.load(it->second.void_row);
        if (latest && by.event.order() < *latest) continue;
        latest = by.event.order();
        now.entry_voided_by = by.name;
    }
    return true;
}

bool Unregistered::holds_gas(const CylinderNow& now) const {
    if (!now.state.lots.empty()) return true;
    if (!now.state.gross) return false;
    const auto [first, end] = voided_.equal_range(now.code);
    return std::any_of(first, end, [&](const auto& entry) {
        const auto& tare = entry.second.facts.tare;
        return tare && *tare < *now.state.gross;
    });
}

}  // namespace tarebook
