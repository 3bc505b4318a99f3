#include "table_sink.hpp"

#include <algorithm>
#include <set>

#include "to_judge.hpp"

namespace tarebook {

TableSink::TableSink(Book::Impl& book)
    : book_(book),
      postings_(book.db, "posting(event, n, account, lot, mass, circuit_day)", 6),
      findings_(book.db, "finding(event, n, severity, name, subject, text, seen, expected, next, accepted)", 10) {}

std::vector<PostingRow> TableSink::stored_postings(std::int64_t event) {
    auto s = book_.db.ask("SELECT account, lot, mass, circuit_day FROM posting WHERE event = ? ORDER BY n", event);
    std::vector<PostingRow> out;
    while (s.next()) {
        out.push_back({s.integer(0), s.integer(1), s.integer(2), {}});
        if (!s.is_null(3)) out.back().circuit_day = s.integer(3);
    }
    return out;
}

bool TableSink::postings(std::int64_t event, std::span<const Posting> postings, std::span<const PostingRow> rows,
                         Rows before) {
    must_hold(rows.size() == postings.size(), "each posting has its row");
    if (before == Rows::there) {
        const auto stored = stored_postings(event);
        if (std::equal(stored.begin(), stored.end(), rows.begin(), rows.end())) return false;
        for (const auto& row : stored) balances_.take(row.account, row.lot, Mass::from_count(row.mass));
        if (!stored.empty()) book_.db.send("DELETE FROM posting WHERE event = ?", event);
    }
    std::int64_t n = 0;
    for (const auto& row : rows) {
        postings_.row(event, n++, row.account, row.lot, row.mass, row.circuit_day);
        balances_.add(row.account, row.lot, Mass::from_count(row.mass));
    }
    return true;
}

void TableSink::step(const StepRow& row, std::string_view, Rows before) {
    steps_.push_back({row.account, row.place, row.event, row.moved, row.gap, arena_.size(),
                      static_cast<std::uint32_t>(row.state.size()), before});
    arena_ += row.state;
}
void TableSink::no_step(std::int64_t account, const Place& place) {
    must_hold(book_.db.run("DELETE FROM step WHERE cylinder = ? AND at = ? AND origin = ? AND seq = ?", account,
                           place.at, place.origin, place.seq) == 1,
              "a step that is taken out stood at its place");
}

void TableSink::findings(std::int64_t event, const std::vector<Finding>& findings, Rows before) {
    if (before == Rows::there) book_.db.send("DELETE FROM finding WHERE event = ?", event);
    std::int64_t n = 0;
    for (const auto& f : findings) {
        if (f.severity == Severity::note) continue;  // notes are derived again where they are shown
        const auto text = [](const std::string& s) { return std::string_view(s); };
        findings_.row(event, n++, static_cast<std::int64_t>(f.severity), text(f.check), text(f.subject), text(f.text),
                      text(f.seen), text(f.expected), text(f.next), text(f.accepted));
    }
}

void TableSink::current_state(std::int64_t account, std::string_view, const CylinderState* state) {
    current_states_[account] = state ? packed(*state) : std::string();
}

void TableSink::finish() {
    postings_.flush();
    findings_.flush();
    write_steps();
    write_current_states();
    write_balances();
    check_cylinders();
    current_states_.clear();
    balances_.clear();
}

// Checks each cylinder whose balances or last state changed, in the tables as they are now.
void TableSink::check_cylinders() {
    std::set<std::int64_t> cylinders;
    for (const auto& [account, state] : current_states_) cylinders.insert(account);
    balances_.each([&](std::int64_t account, std::int64_t, const Balances::Sum&) { cylinders.insert(account); });
    for (const auto account : cylinders) {
        auto s = book_.db.ask(
            "SELECT s.state, b.mass, l.refrigerant, l.owner, l.condition FROM account a LEFT JOIN current_state s ON "
            "s.cylinder = a.id LEFT JOIN balance b ON b.account = a.id AND b.mass <> 0 LEFT JOIN lot l ON l.id = b.lot "
            "WHERE a.id = ? AND a.kind = 'cylinder'",
            account);
        Lots lots, balances;
        while (s.next()) {
            if (balances.empty() && !s.is_null(0)) lots = unpacked(s.text(0)).lots;
            if (!s.is_null(1))
                balances.push_back({{s.text(2), s.text(3), condition_from(s.text(4)).value_or(Condition::recovered)},
                                    Mass::from_count(s.integer(1))});
        }
        std::sort(balances.begin(), balances.end(), [](const Lot& a, const Lot& b) { return a.key < b.key; });
        // While steps of it wait to be judged anew, their postings may be those of before.
        must_hold(balances == lots || anything_waits(book_),
                  "the balances of a cylinder are the lots of its last state");
    }
}

void TableSink::write_steps() {
    std::sort(steps_.begin(), steps_.end(), [](const KeptStep& a, const KeptStep& b) {
        return std::tie(a.account, a.place) < std::tie(b.account, b.place);
    });
    InsertMany fresh(book_.db, "step(cylinder, at, origin, seq, event, moved, gap, state)", 8);
    for (const auto& s : steps_) {
        const Bytes state{std::string_view(arena_).substr(s.state, s.state_size)};
        if (s.before == Rows::fresh)
            fresh.row(s.account, s.place.at, s.place.origin, s.place.seq, s.event, s.moved, s.gap, state);
        else
            must_hold(
                book_.db.run("UPDATE step SET event = ?, moved = ?, gap = ?, state = ? WHERE cylinder = ? AND at = ? "
                             "AND origin = ? AND seq = ?",
                             s.event, s.moved, s.gap, state, s.account, s.place.at, s.place.origin, s.place.seq) == 1,
                "a step that stood there is written anew at its place");
    }
    must_hold(std::adjacent_find(steps_.begin(), steps_.end(),
                                 [](const KeptStep& a, const KeptStep& b) {
                                     return std::tie(a.account, a.place) == std::tie(b.account, b.place);
                                 }) == steps_.end(),
              "a cylinder has one step at a place");
    fresh.flush();
    steps_.clear();
    arena_.clear();
}

void TableSink::write_current_states() {
    for (const auto& [account, state] : current_states_)
        if (state.empty())
            book_.db.send("DELETE FROM current_state WHERE cylinder = ?", account);
        else
            book_.db.send(
                "INSERT INTO current_state(cylinder, state) VALUES (?, ?) ON CONFLICT (cylinder) DO UPDATE SET state = "
                "excluded.state",
                account, Bytes{state});
}

// What this recording changed of a balance goes to the row of its chain, of a cylinder to the only one.
void TableSink::write_parts() {
    const auto chain = book_.writer().origin;
    balances_.each([&](std::int64_t account, std::int64_t lot, const Balances::Sum& sum) {
        book_.db.send(
            "INSERT INTO balance_part(account, lot, chain, mass, postings) SELECT ?1, ?2, CASE kind WHEN 'cylinder' "
            "THEN 0 "
            "ELSE ?3 END, ?4, ?5 FROM account WHERE id = ?1 ON CONFLICT (account, lot, chain) DO UPDATE SET mass = "
            "balance_part.mass + excluded.mass, postings = balance_part.postings + excluded.postings",
            account, lot, chain, sum.mass.value().count(), sum.postings);
    });
}

void TableSink::write_balances() {
    if (book_.db.on_server()) return write_parts();
    balances_.each([&](std::int64_t account, std::int64_t lot, const Balances::Sum& sum) {
        book_.db.run(
            "INSERT INTO balance(account, lot, mass, postings) VALUES (?, ?, ?, ?) ON CONFLICT (account, lot) DO "
            "UPDATE SET mass = balance.mass + excluded.mass, postings = balance.postings + excluded.postings",
            account, lot, sum.mass.value().count(), sum.postings);
        if (sum.postings >= 0) return;
        book_.db.run("DELETE FROM balance WHERE account = ? AND lot = ? AND postings = 0 AND mass = 0", account, lot);
        must_hold(!book_.db.any("SELECT 1 FROM balance WHERE account = ? AND lot = ? AND postings <= 0", account, lot),
                  "a balance is the sum of one posting or more, or there is none");
    });
}

}  // namespace tarebook
