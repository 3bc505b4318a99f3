#include "past.hpp"

#include <fmt/format.h>

namespace tarebook {
namespace {

StoredStep step_in(const Answer& s) {
    return {{s.integer(0), s.integer(1), s.integer(2)}, s.integer(3), s.integer(4), s.integer(5), s.text(6)};
}
std::optional<StoredStep> one_step(Answer s) {
    std::optional<StoredStep> out;
    if (s.next()) out = step_in(s);
    return out;
}

}  // namespace

bool StoredTies::any() const {
    return book_.db.any("SELECT 1 FROM settlement LIMIT 1");
}
std::optional<std::int64_t> StoredTies::returned_by(std::int64_t statement) const {
    return book_.db.integer("SELECT returned FROM settlement WHERE event = ?", statement);
}
std::vector<Tied> StoredTies::statements_on(std::int64_t returned) const {
    auto s = book_.db.ask("SELECT at, origin, seq, event FROM settlement WHERE returned = ?", returned);
    std::vector<Tied> out;
    while (s.next()) out.push_back({{s.integer(0), s.integer(1), s.integer(2)}, s.integer(3)});
    return out;
}

std::optional<StoredStep> Past::last(std::int64_t account) const {
    return one_step(
        book_.db.ask("SELECT at, origin, seq, event, moved, gap, state FROM step WHERE cylinder = ? "
                     "ORDER BY at DESC, origin DESC, seq DESC LIMIT 1",
                     account));
}
std::optional<StoredStep> Past::last_before(std::int64_t account, const Place& before) const {
    return one_step(
        book_.db.ask("SELECT at, origin, seq, event, moved, gap, state FROM step WHERE cylinder = ? AND "
                     "(at, origin, seq) < (?, ?, ?) ORDER BY at DESC, origin DESC, seq DESC LIMIT 1",
                     account, before.at, before.origin, before.seq));
}
void Past::after(std::int64_t account, const Place& place, std::int64_t most, std::deque<StoredStep>& out) const {
    auto s = book_.db.ask(
        "SELECT at, origin, seq, event, moved, gap, state FROM step WHERE cylinder = ? AND "
        "(at, origin, seq) > (?, ?, ?) ORDER BY at, origin, seq LIMIT ?",
        account, place.at, place.origin, place.seq, most);
    while (s.next()) out.push_back(step_in(s));
}

void Past::nearby(std::int64_t account, const std::string& code, const Place& after, const Place& before,
                  NearbyRows& out) const {
    auto s = book_.db.ask(
        "SELECT at, origin, seq, event, moved, gap, state FROM step WHERE cylinder = ? AND "
        "at >= ? AND (at, origin, seq) > (?, ?, ?) AND (at, origin, seq) < (?, ?, ?) ORDER "
        "BY at, origin, seq",
        account, before.at - std::chrono::seconds(nearby_reach).count(), after.at, after.origin, after.seq, before.at,
        before.origin, before.seq);
    std::vector<StoredStep> steps;
    while (s.next()) steps.push_back(step_in(s));
    for (const auto& step : steps)
        remember_nearby(out, {nearby_event(event(step.row), code, Mass::from_count(step.moved),
                                           Mass::from_count(step.gap), unpacked(step.state).contents(), {}),
                              step.row});
}

void Past::nearby_that_moved(std::int64_t account, const Place& after, const Place& before, NearbyRows& out) const {
    auto s = book_.db.ask(
        "SELECT at, origin, seq, event, moved FROM step WHERE cylinder = ? AND at >= ? AND (at, origin, seq) > (?, ?, "
        "?) AND (at, origin, seq) < (?, ?, ?) AND moved <> 0 ORDER BY at, origin, seq",
        account, before.at - std::chrono::seconds(nearby_reach).count(), after.at, after.origin, after.seq, before.at,
        before.origin, before.seq);
    while (s.next()) {
        NearbyRow kept;
        const auto& origin = book_.known_origin(s.integer(1));
        kept.event.order = {Instant(std::chrono::seconds(s.integer(0))), origin.book, s.integer(2), origin.branch};
        kept.event.moved = Mass::from_count(s.integer(4));
        kept.row = s.integer(3);
        kept.read = false;
        remember_nearby(out, std::move(kept));
    }
}

std::vector<std::pair<Place, std::int64_t>> Past::about_as_much_after(std::int64_t account, const Place& place,
                                                                      std::array<Mass, 2> amounts) const {
    auto s = book_.db.ask(
        "SELECT at, origin, seq, event, moved FROM step WHERE cylinder = ? AND at <= ? AND (at, origin, seq) > (?, ?, "
        "?) AND moved <> 0 ORDER BY at, origin, seq",
        account, place.at + std::chrono::seconds(nearby_reach).count(), place.at, place.origin, place.seq);
    std::vector<std::pair<Place, std::int64_t>> out;
    while (s.next()) {
        const auto moved = Mass::from_count(s.integer(4));
        if (may_be_one_amount(moved, amounts[0]) || may_be_one_amount(moved, amounts[1]))
            out.emplace_back(Place{s.integer(0), s.integer(1), s.integer(2)}, s.integer(3));
    }
    return out;
}

Event Past::event(std::int64_t row) const {
    auto s = book_.db.ask("SELECT body, origin FROM event WHERE id = ?", row);
    if (!s.next()) throw StorageError(fmt::format("the book has no event row {}", row), "run: tarebook check");
    auto out = event_from_body(s.bytes(0));
    const auto origin = s.integer(1);
    if (!out)
        throw StorageError(fmt::format("event row {} is damaged: {}", row, out.error().seen), "run: tarebook check");
    out->branch = book_.known_origin(origin).branch;
    return std::move(*out);
}

bool Past::is_effective(std::int64_t row) const {
    return !book_.db.any("SELECT 1 FROM ineffective WHERE event = ?", row);
}

std::optional<Sent> Past::sent(std::int64_t returned) const {
    const auto what = event(returned);
    const auto* k = std::get_if<kinds::Return>(&what.what);
    if (!k || !is_effective(returned)) return std::nullopt;
    std::vector<Posting> postings;
    auto s = book_.db.ask(
        "SELECT l.refrigerant, l.owner, l.condition, p.mass FROM posting p JOIN account "
        "a ON a.id = p.account JOIN lot l ON l.id = p.lot WHERE p.event = ? AND a.kind "
        "= 'reclaimer'",
        returned);
    while (s.next())
        postings.push_back({{AccountKind::reclaimer, {}},
                            {s.text(0), s.text(1), condition_from(s.text(2)).value_or(Condition::recovered)},
                            Mass::from_count(s.integer(3))});
    return sent_by(what, *k, postings);
}

}  // namespace tarebook
