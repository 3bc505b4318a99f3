#include "past.hpp"

#include <fmt/format.h>

namespace tarebook {
namespace {

StoredStep step_in(SQLite::Statement& s) {
    const auto state = s.getColumn(6);
    return {{s.getColumn(0).getInt64(), s.getColumn(1).getInt64(), s.getColumn(2).getInt64()},
            s.getColumn(3).getInt64(),
            s.getColumn(4).getInt64(),
            s.getColumn(5).getInt64(),
            std::string(static_cast<const char*>(state.getBlob()), static_cast<std::size_t>(state.getBytes()))};
}
std::optional<StoredStep> one_step(SQLite::Statement& s) {
    std::optional<StoredStep> out;
    if (s.executeStep()) out = step_in(s);
    s.reset();
    return out;
}

}  // namespace

bool StoredTies::any() const {
    auto& s = book_.db.statement("SELECT 1 FROM settlement LIMIT 1");
    const bool out = s.executeStep();
    s.reset();
    return out;
}
std::optional<std::int64_t> StoredTies::returned_by(std::int64_t statement) const {
    auto& s = bound(book_.db.statement("SELECT returned FROM settlement WHERE event = ?"), statement);
    std::optional<std::int64_t> out;
    if (s.executeStep()) out = s.getColumn(0).getInt64();
    s.reset();
    return out;
}
std::vector<Tied> StoredTies::statements_on(std::int64_t returned) const {
    auto& s = bound(book_.db.statement("SELECT at, origin, seq, event FROM settlement WHERE returned = ?"), returned);
    std::vector<Tied> out;
    while (s.executeStep())
        out.push_back({{s.getColumn(0).getInt64(), s.getColumn(1).getInt64(), s.getColumn(2).getInt64()},
                       s.getColumn(3).getInt64()});
    s.reset();
    return out;
}

std::optional<StoredStep> Past::last(std::int64_t account) const {
    return one_step(
        bound(book_.db.statement("SELECT at, origin, seq, event, moved, gap, state FROM step WHERE cylinder = ? "
                                 "ORDER BY at DESC, origin DESC, seq DESC LIMIT 1"),
              account));
}
std::optional<StoredStep> Past::last_before(std::int64_t account, const Place& before) const {
    return one_step(
        bound(book_.db.statement("SELECT at, origin, seq, event, moved, gap, state FROM step WHERE cylinder = ? AND "
                                 "(at, origin, seq) < (?, ?, ?) ORDER BY at DESC, origin DESC, seq DESC LIMIT 1"),
              account, before.at, before.origin, before.seq));
}
void Past::after(std::int64_t account, const Place& place, std::int64_t most, std::deque<StoredStep>& out) const {
    auto& s =
        bound(book_.db.statement("SELECT at, origin, seq, event, moved, gap, state FROM step WHERE cylinder = ? AND "
                                 "(at, origin, seq) > (?, ?, ?) ORDER BY at, origin, seq LIMIT ?"),
              account, place.at, place.origin, place.seq, most);
    while (s.executeStep()) out.push_back(step_in(s));
    s.reset();
}

void Past::touches(std::int64_t account, const std::string& code, const Place& after, const Place& before,
                   Touches& out) const {
    auto& s =
        bound(book_.db.statement("SELECT at, origin, seq, event, moved, gap, state FROM step WHERE cylinder = ? AND "
                                 "at >= ? AND (at, origin, seq) > (?, ?, ?) AND (at, origin, seq) < (?, ?, ?) ORDER "
                                 "BY at, origin, seq"),
              account, before.at - std::chrono::seconds(touch_reach).count(), after.at, after.origin, after.seq,
              before.at, before.origin, before.seq);
    std::vector<StoredStep> steps;
    while (s.executeStep()) steps.push_back(step_in(s));
    s.reset();
    for (const auto& step : steps)
        keep_touch(out, {touch_of(event(step.row), code, Mass::from_count(step.moved), Mass::from_count(step.gap),
                                  unpacked(step.state).contents(), {}),
                         step.row});
}

Event Past::event(std::int64_t row) const {
    auto& s = bound(book_.db.statement("SELECT body, origin FROM event WHERE rowid = ?"), row);
    if (!s.executeStep()) throw StorageError(fmt::format("the book has no event row {}", row), "run: tarebook check");
    const auto body = s.getColumn(0);
    auto out = event_from_body({body.getText(), static_cast<std::size_t>(body.getBytes())});
    const auto origin = s.getColumn(1).getInt64();
    s.reset();
    if (!out)
        throw StorageError(fmt::format("event row {} is damaged: {}", row, out.error().seen), "run: tarebook check");
    out->branch = book_.origins.at(origin).branch;
    return std::move(*out);
}

bool Past::counts(std::int64_t row) const {
    auto& s = bound(book_.db.statement("SELECT 1 FROM uncounted WHERE event = ?"), row);
    const bool out = s.executeStep();
    s.reset();
    return !out;
}

std::optional<Sent> Past::sent(std::int64_t returned) const {
    const auto what = event(returned);
    const auto* k = std::get_if<kinds::Return>(&what.what);
    if (!k || !counts(returned)) return std::nullopt;
    std::vector<Posting> postings;
    auto& s = bound(book_.db.statement("SELECT l.refrigerant, l.owner, l.condition, p.mass FROM posting p JOIN account "
                                       "a ON a.id = p.account JOIN lot l ON l.id = p.lot WHERE p.event = ? AND a.kind "
                                       "= 'reclaimer'"),
                    returned);
    while (s.executeStep())
        postings.push_back({{AccountKind::reclaimer, {}},
                            {s.getColumn(0).getString(), s.getColumn(1).getString(),
                             condition_from(s.getColumn(2).getString()).value_or(Condition::recovered)},
                            Mass::from_count(s.getColumn(3).getInt64())});
    s.reset();
    return sent_by(what, *k, postings);
}

}  // namespace tarebook
