#include "table_sink.hpp"

#include <algorithm>

namespace tarebook {

TableSink::TableSink(Book::Impl& book)
    : book_(book),
      postings_(book.db, "posting(event, n, account, lot, mass, circuit_day)", 6),
      findings_(book.db, "finding(event, n, severity, name, subject, text, seen, expected, next, accepted)", 10) {}

std::vector<PostingRow> TableSink::stored_postings(std::int64_t event) {
    auto& s = bound(
        book_.db.statement("SELECT account, lot, mass, circuit_day FROM posting WHERE event = ? ORDER BY n"), event);
    std::vector<PostingRow> out;
    while (s.executeStep()) {
        out.push_back({s.getColumn(0).getInt64(), s.getColumn(1).getInt64(), s.getColumn(2).getInt64(), {}});
        if (!s.getColumn(3).isNull()) out.back().circuit_day = s.getColumn(3).getInt64();
    }
    s.reset();
    return out;
}

bool TableSink::postings(std::int64_t event, std::span<const Posting>, std::span<const PostingRow> rows, Rows before) {
    if (before == Rows::there) {
        const auto stored = stored_postings(event);
        if (std::equal(stored.begin(), stored.end(), rows.begin(), rows.end())) return false;
        for (const auto& row : stored) balances_.at(row.account, row.lot) -= Mass::from_count(row.mass);
        if (!stored.empty()) done(bound(book_.db.statement("DELETE FROM posting WHERE event = ?"), event));
    }
    std::int64_t n = 0;
    for (const auto& row : rows) {
        postings_.row(event, n++, row.account, row.lot, row.mass, row.circuit_day);
        balances_.at(row.account, row.lot) += Mass::from_count(row.mass);
    }
    return true;
}

void TableSink::step(const StepRow& row, std::string_view, Rows before) {
    steps_.push_back({row.account, row.place, row.event, row.moved, row.gap, arena_.size(),
                      static_cast<std::uint32_t>(row.state.size()), before});
    arena_ += row.state;
}
void TableSink::no_step(std::int64_t account, const Place& place) {
    done(bound(book_.db.statement("DELETE FROM step WHERE cylinder = ? AND at = ? AND origin = ? AND seq = ?"), account,
               place.at, place.origin, place.seq));
}

void TableSink::findings(std::int64_t event, const std::vector<Finding>& findings, Rows before) {
    if (before == Rows::there) done(bound(book_.db.statement("DELETE FROM finding WHERE event = ?"), event));
    std::int64_t n = 0;
    for (const auto& f : findings) {
        if (f.severity == Severity::note) continue;  // quiet lines are derived again where they are shown
        const auto text = [](const std::string& s) { return std::string_view(s); };
        findings_.row(event, n++, static_cast<std::int64_t>(f.severity), text(f.check), text(f.subject), text(f.text),
                      text(f.seen), text(f.expected), text(f.next), text(f.accepted));
    }
}

void TableSink::standing(std::int64_t account, std::string_view, const CylinderState* state) {
    standings_[account] = state ? packed(*state) : std::string();
}

void TableSink::finish() {
    postings_.flush();
    findings_.flush();
    write_steps();
    write_standings();
    write_balances();
}

void TableSink::write_steps() {
    std::sort(steps_.begin(), steps_.end(), [](const KeptStep& a, const KeptStep& b) {
        return std::tie(a.account, a.place) < std::tie(b.account, b.place);
    });
    InsertMany fresh(book_.db, "step(cylinder, at, origin, seq, event, moved, gap, state)", 8);
    std::optional<Insert> there;
    for (const auto& s : steps_) {
        const Insert::Bytes state{std::string_view(arena_).substr(s.state, s.state_size)};
        const auto into = [&](auto& insert) {
            insert.row(s.account, s.place.at, s.place.origin, s.place.seq, s.event, s.moved, s.gap, state);
        };
        if (s.before == Rows::fresh) {
            into(fresh);
            continue;
        }
        if (!there)
            there.emplace(book_.db,
                          "UPDATE step SET event = ?5, moved = ?6, gap = ?7, state = ?8 WHERE cylinder = ?1 AND at = "
                          "?2 AND origin = ?3 AND seq = ?4");
        into(*there);
    }
    fresh.flush();
    steps_.clear();
    arena_.clear();
}

void TableSink::write_standings() {
    if (standings_.empty()) return;
    Insert stands(book_.db, "INSERT OR REPLACE INTO standing(cylinder, state) VALUES (?, ?)");
    for (const auto& [account, state] : standings_)
        if (state.empty())
            done(bound(book_.db.statement("DELETE FROM standing WHERE cylinder = ?"), account));
        else
            stands.row(account, Insert::Bytes{state});
    standings_.clear();
}

void TableSink::write_balances() {
    balances_.each([&](std::int64_t account, std::int64_t lot, const MassTotal& sum) {
        done(bound(book_.db.statement("INSERT INTO balance(account, lot, mass) VALUES (?, ?, ?) ON CONFLICT DO "
                                      "UPDATE SET mass = mass + excluded.mass"),
                   account, lot, sum.value().count()));
    });
    balances_.clear();
}

}  // namespace tarebook
