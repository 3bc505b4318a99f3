#include "replay.hpp"

#include "hold.hpp"
#include "tarebook/units/refused.hpp"

#include <algorithm>
#include <numeric>
#include <stdexcept>

namespace tarebook {
namespace {

constexpr std::int64_t most_read_ahead = 16;
constexpr auto reach = std::chrono::seconds(nearby_reach).count();

// Set where the event is the first of a branch that counts beside another one.
std::optional<Fork> fork_at(Book::Impl& book, const Event& event) {
    const auto begin = book.branch_begins.find(origin_of(event.order()));
    if (begin == book.branch_begins.end() || begin->second.seq != event.seq) return std::nullopt;
    const auto& origin = book.origins.at(begin->first);
    const auto other = book.origins.find(origin.parent != 0 ? origin.parent : origin_id(origin.book));
    // The other branch does not count beyond that place: it was dropped, or its book is not trusted.
    if (other == book.origins.end() ||
        (other->second.effective_to <= origin.parent_seq && !book.is_own(other->first, origin.parent_seq + 1)))
        return std::nullopt;
    Fork fork{origin.book, origin.parent_seq, begin->second.digest, {}};
    if (origin.parent != 0) {
        auto s =
            book.db.ask("SELECT digest FROM event WHERE origin = ? AND seq = ?", origin.parent, origin.parent_seq + 1);
        if (s.next()) fork.other = s.digest(0);
    }
    // The book itself goes on with the own chain, so only the other branch can be dropped.
    if (book.is_own(begin->first, event.seq) && fork.other != Digest{}) std::swap(fork.first, fork.other);
    if (origin.book == book.info.id) fork.other = {};
    return fork;
}

// A draft has a name before it has a row.
std::string name_of(Book::Impl& book, const NearbyRow& kept) {
    const auto place = place_of(kept.event.order);
    auto name = book.is_own(place.origin, place.seq) ? event_name(place.seq) : book.name_of_row(kept.row);
    return name.empty() ? event_name(place.seq) : name;  // a draft of a desk has no digest yet
}

// An evaluation throws for a mass that no book can hold. This adds the event's name if it is another book's and the
// caller does not name it.
template <class F>
auto naming_event(Book::Impl& book, std::int64_t row, const Event& event, const std::string& name, F&& evaluation) {
    try {
        return evaluation();
    } catch (const Refused& e) {
        if (event.book == book.info.id || !name.empty()) throw;
        refuse_too_large("event " + book.name_of_row(row) + " of book " + hex(event.book).substr(0, 12) + ": " +
                         e.what());
    }
}

}  // namespace

Replay::Replay(Book::Impl& book, const Evaluator& evaluator, const Register& reg, const Ties& ties, Sink& sink,
               From from)
    : book_(book),
      past_(book),
      ties_(ties),
      sink_(sink),
      from_(from),
      surroundings_{[&book](const NearbyRow& kept) { return name_of(book, kept); },
                    [&book](const Event& event) { return fork_at(book, event); },
                    [this](const NearbyRow& kept, const std::string& cylinder) { return read(kept, cylinder); },
                    !book.one_book()},
      step_(evaluator, reg, &surroundings_),
      clock_(book) {}

void Replay::enqueue(std::int64_t row) {
    auto s = book_.db.ask("SELECT at, origin, seq FROM event WHERE id = ?", row);
    if (s.next()) queue_[{s.integer(0), s.integer(1), s.integer(2)}] = row;
}
void Replay::enqueue_statements(std::int64_t returned) {
    for (const auto& tied : ties_.statements_on(returned)) queue_[tied.place] = tied.row;
}

void Replay::run(const FreshEvents& fresh, const See& see, const std::function<void(double)>& progress) {
    any_ties_.reset();  // the precondition of this, and none of what was asked before
    clock_.look_in([&fresh](std::int64_t seq) { return fresh.recorded(seq); });
    std::vector<std::uint32_t> order(fresh.size());
    std::iota(order.begin(), order.end(), 0U);
    const auto before = [&](std::uint32_t a, std::uint32_t b) { return fresh.place(a) < fresh.place(b); };
    if (!std::is_sorted(order.begin(), order.end(), before)) std::stable_sort(order.begin(), order.end(), before);
    Event e;
    for (std::size_t next = 0;;) {
        const auto place = next < order.size() ? std::optional(fresh.place(order[next])) : std::nullopt;
        if (!queue_.empty() && (!place || queue_.begin()->first < *place)) {
            const auto [there, row] = *queue_.begin();
            queue_.erase(queue_.begin());
            again(row, there, past_.event(row));
            continue;
        }
        if (!place) break;
        if (!queue_.empty() && queue_.begin()->first == *place) queue_.erase(queue_.begin());
        const auto p = order[next];
        fresh.make(p, e);
        pass(p, fresh.row(p), e, {}, see);
        if (progress && next % 4096 == 0) progress(static_cast<double>(next) / static_cast<double>(order.size()));
        ++next;
    }
    finish();
}

void Replay::run_part(std::size_t most) {
    any_ties_.reset();
    for (std::size_t judged = 0; judged < most && !queue_.empty(); ++judged) {
        const auto [place, row] = *queue_.begin();
        const auto event = past_.event(row);
        const auto codes = cylinders_of(event);
        if (!std::all_of(codes.begin(), codes.end(), [&](const auto& code) { return holds_cylinder(book_, code); }))
            break;
        queue_.erase(queue_.begin());
        again(row, place, event);
    }
    put_off(book_, queue_);  // before the end, which looks whether anything waits
    end();
    queue_.clear();
}

void Replay::finish() {
    must_hold(queue_.empty(), "a replay ends when nothing is left to look at again");
    end();
}

void Replay::end() {
    for (const auto& [code, cursor] : cursors_) {
        must_hold(!cursor->differs || cursor->at_end ||
                      (!cursor->ahead.empty() && queue_.contains(cursor->ahead.front().place)),
                  "I5: the steps that follow stand on the states that were written");
        // A cursor that did not come to the last step leaves that one as it was.
        if (cursor->changed && cursor->at_end)
            sink_.current_state(cursor->account, code, cursor->stands ? &cursor->state : nullptr);
    }
    sink_.finish();
}

void Replay::pass(std::int64_t row, Event& event, const std::string& name) {
    pass(0, row, event, name, {});
}

void Replay::pass(std::size_t position, std::int64_t row, Event& event, const std::string& name, const See& see) {
    const Passing passing{row, place_of(event.order()), event, Rows::fresh};
    touch(event, passing.place);
    auto sent = std::holds_alternative<kinds::Settle>(event.what) ? sent_to(row, passing.place) : std::nullopt;
    const auto before = clock_.before(event);
    auto outcome = naming_event(book_, row, event, name,
                                [&] { return step_.judge(event, codes_, touched_, std::move(sent), before); });
    if (see) see(position, event, outcome);
    for (std::size_t n = 0; n < touched_.size(); ++n) write_step(passing, n, outcome.effects[n], nullptr);
    keep_sent(passing, &outcome, write_postings(passing, outcome));
    sink_.findings(row, outcome.findings, Rows::fresh);
    step_.leave(event, std::move(outcome), touched_, row, name);
}

void Replay::again(std::int64_t row, const Place& place, const Event& event) {
    const Passing passing{row, place, event, Rows::there};
    touch(event, place);
    std::vector<std::optional<StoredStep>> stored;
    for (auto* touched : touched_) stored.push_back(stored_at(static_cast<Cursor&>(*touched), place));
    if (!past_.is_effective(row)) {
        for (std::size_t n = 0; n < touched_.size(); ++n) {
            if (!stored[n]) continue;
            auto& cursor = static_cast<Cursor&>(*touched_[n]);
            sink_.no_step(cursor.account, place);
            cursor.changed = true;
            follow(cursor, place);
            enqueue_alike(cursor, place, {Mass::from_count(stored[n]->moved), Mass()});
        }
        for (std::size_t n = 0; n < touched_.size(); ++n)
            must_hold(!stored[n] ||
                          (static_cast<Cursor&>(*touched_[n]).changed && static_cast<Cursor&>(*touched_[n]).differs),
                      "what follows an event that is not effective is judged again");
        sink_.postings(row, {}, {}, Rows::there);
        sink_.findings(row, {}, Rows::there);
        return keep_sent(passing, nullptr, true);
    }
    auto sent = std::holds_alternative<kinds::Settle>(event.what) ? sent_to(row, place) : std::nullopt;
    const auto before = clock_.before(event);
    auto outcome = naming_event(book_, row, event, {},
                                [&] { return step_.judge(event, codes_, touched_, std::move(sent), before); });
    for (std::size_t n = 0; n < touched_.size(); ++n)
        write_step(passing, n, outcome.effects[n], stored[n] ? &*stored[n] : nullptr);
    keep_sent(passing, &outcome, write_postings(passing, outcome));
    sink_.findings(row, outcome.findings, Rows::there);
    step_.leave(event, std::move(outcome), touched_, row, {});
}

// Moves the cursors of the event's cylinders to the event.
void Replay::touch(const Event& event, const Place& place) {
    must_hold(last_ < place, "events pass in total order, each once");
    last_ = place;
    codes_ = cylinders_of(event);
    touched_.clear();
    for (const auto& code : codes_) {
        must_hold_cylinder(book_, code);
        const auto [it, fresh] = cursors_.try_emplace(code);
        if (fresh) {
            it->second = std::make_unique<Cursor>();
            if (from_ == From::past) it->second->account = book_.account_id({AccountKind::cylinder, code}, false);
            it->second->at_end = it->second->account == 0;
        }
        move_to(*it->second, code, place);
        touched_.push_back(it->second.get());
    }
}

// Passes over stored steps that stay as they are. Precondition: nothing that passed changed them, else they are in the
// queue before this place.
void Replay::move_to(Cursor& cursor, const std::string& code, const Place& place) {
    must_hold(cursor.at < place, "a cursor is before the event that touches its cylinder");
    if (cursor.at_end) return;
    const auto from = cursor.at;
    std::optional<StoredStep> before;
    if (!cursor.read) {
        cursor.read = true;
        before = past_.last(cursor.account);
        cursor.at_end = !before || before->place < place;
        if (!cursor.at_end) before = past_.last_before(cursor.account, place);
    } else {
        for (; !cursor.ahead.empty() && cursor.ahead.front().place < place; cursor.ahead.pop_front())
            before = std::move(cursor.ahead.front());
        if (cursor.ahead.empty())
            if (auto later = past_.last_before(cursor.account, place); later && from < later->place)
                before = std::move(later);
    }
    if (!before) return;
    must_hold(from < before->place && before->place < place, "a state is read from between cursor and event");
    must_hold(!cursor.differs, "a state that was written is not passed by for one that stood there before");
    cursor.state = unpacked(before->state);
    cursor.at = before->place;
    cursor.stands = true;
    if (book_.one_book())
        past_.nearby_that_moved(cursor.account, from, place, cursor.near);
    else
        past_.nearby(cursor.account, code, from, place, cursor.near);
}

NearbyEvent Replay::read(const NearbyRow& kept, const std::string& cylinder) const {
    return nearby_event(past_.event(kept.row), cylinder, kept.event.moved, {}, {}, {});
}

// Reads the next stored steps. Returns whether there is one.
bool Replay::fill(Cursor& cursor) {
    if (cursor.at_end || !cursor.ahead.empty()) return !cursor.at_end;
    past_.after(cursor.account, cursor.at, cursor.chunk, cursor.ahead);
    cursor.chunk = std::min(cursor.chunk * 2, most_read_ahead);
    cursor.at_end = cursor.ahead.empty();
    must_hold(cursor.at_end || cursor.at < cursor.ahead.front().place, "what is ahead of a cursor is later than it");
    return !cursor.at_end;
}

std::optional<StoredStep> Replay::stored_at(Cursor& cursor, const Place& place) {
    if (!fill(cursor) || cursor.ahead.front().place != place) return std::nullopt;
    auto out = std::move(cursor.ahead.front());
    cursor.ahead.pop_front();
    cursor.at = place;
    return out;
}

// Enqueues the steps behind a place whose events may tell of the same act as one that moved, or moves no more, such an
// amount.
void Replay::enqueue_alike(const Cursor& cursor, const Place& place, std::array<Mass, 2> amounts) {
    if (cursor.at_end || !book_.one_book()) return;
    for (const auto& [there, row] : past_.about_as_much_after(cursor.account, place, amounts)) queue_[there] = row;
}

// Enqueues the next step; where the file has several books, all steps within nearby_reach, because their events may
// tell of the same act.
void Replay::follow(Cursor& cursor, const Place& place) {
    cursor.at = place;
    cursor.differs = true;
    if (!fill(cursor)) return;
    must_hold(place < cursor.ahead.front().place, "what is looked at again is later than what changed");
    queue_[cursor.ahead.front().place] = cursor.ahead.front().row;
    if (book_.one_book()) return;
    while (cursor.ahead.back().place.at <= place.at + reach) {
        const auto known = cursor.ahead.size();
        past_.after(cursor.account, cursor.ahead.back().place, most_read_ahead, cursor.ahead);
        if (cursor.ahead.size() == known) break;
    }
    for (const auto& step : cursor.ahead)
        if (step.place.at <= place.at + reach) queue_[step.place] = step.row;
}

void Replay::write_step(const Passing& passing, std::size_t n, const Effect& effect, const StoredStep* stored) {
    auto& cursor = static_cast<Cursor&>(*touched_[n]);
    if (cursor.account == 0) cursor.account = sink_.account_id({AccountKind::cylinder, effect.cylinder});
    const auto state = packed(effect.after);
    const bool same_state = stored && stored->state == state;
    const bool same = same_state && stored->moved == effect.moved.count() && stored->gap == effect.gap.count();
    if (!same) {
        sink_.step({cursor.account, passing.place, passing.row, effect.moved.count(), effect.gap.count(), state},
                   effect.cylinder, stored ? Rows::there : Rows::fresh);
        cursor.changed = true;
    }
    cursor.stands = true;
    // If the state is equal to the stored one, the steps behind it stay as they are.
    if (!same_state || (!same && !book_.one_book()))
        follow(cursor, passing.place);
    else
        cursor.at = passing.place;
    if (same_state) cursor.differs = false;
    if (!same) enqueue_alike(cursor, passing.place, {effect.moved, Mass::from_count(stored ? stored->moved : 0)});
}

bool Replay::write_postings(const Passing& passing, const Outcome& outcome) {
    rows_.clear();
    for (const auto& p : outcome.postings) {
        std::int64_t account = 0;
        if (p.account.kind == AccountKind::cylinder)
            for (std::size_t n = 0; n < codes_.size(); ++n)
                if (codes_[n] == p.account.code) account = static_cast<Cursor&>(*touched_[n]).account;
        if (account == 0) account = sink_.account_id(p.account);
        rows_.push_back({account, sink_.lot_id(p.lot), p.mass.count(), circuit_day(p, passing.event)});
    }
    return sink_.postings(passing.row, outcome.postings, rows_, passing.before);
}

// Keeps what a return with statements sent. If it changed, enqueues the statements.
void Replay::keep_sent(const Passing& passing, const Outcome* outcome, bool changed) {
    const auto* k = std::get_if<kinds::Return>(&passing.event.what);
    if (!k) return;
    if (!any_ties_) any_ties_ = ties_.any();
    if (!*any_ties_) return;
    const auto statements = ties_.statements_on(passing.row);
    if (statements.empty()) return;
    returns_[passing.row] = outcome ? std::optional(sent_by(passing.event, *k, outcome->postings)) : std::nullopt;
    if (!changed || from_ == From::nothing) return;
    for (const auto& tied : statements)
        if (passing.place < tied.place) queue_[tied.place] = tied.row;
}

std::optional<Sent> Replay::sent_to(std::int64_t statement, const Place& place) {
    const auto returned = ties_.returned_by(statement);
    if (!returned) return std::nullopt;
    std::optional<Sent> sent;
    if (const auto it = returns_.find(*returned); it != returns_.end())
        sent = it->second;
    else if (from_ == From::past)
        sent = past_.sent(*returned);
    if (!sent || place < place_of(sent->order)) return std::nullopt;
    for (const auto& other : ties_.statements_on(*returned))
        sent->settled = sent->settled || (place_of(sent->order) < other.place && other.place < place);
    return sent;
}

}  // namespace tarebook
