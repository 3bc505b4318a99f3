// Works off what waits to be judged anew (to_judge.hpp): the queue of one replay, in many transactions. A part takes
// the first events, holds their cylinders by name, and puts back what it makes judge again beyond itself.
#include <algorithm>
#include <set>
#include <vector>

#include "desk.hpp"
#include "hold.hpp"
#include "replay.hpp"
#include "table_sink.hpp"
#include "tarebook/units/refused.hpp"
#include "to_judge.hpp"
#include "work.hpp"

namespace tarebook {
namespace {

constexpr std::int64_t most_of_a_part = 200;  // a desk that wants the same cylinder waits as long as these take
constexpr std::int64_t most_windows = 8;      // behind those that other programs work on
constexpr int most_tries = 10;

struct Part {
    std::vector<StoredEvent> events;
    Place first, last;
};

Part part_at(Book::Impl& book, std::int64_t window, std::int64_t events_of_a_part) {
    Part out;
    auto s = book.db.ask(
        "SELECT t.at, t.origin, t.seq, e.id, e.digest, e.body FROM to_judge t JOIN event e ON e.id = t.event ORDER BY "
        "t.at, t.origin, t.seq LIMIT ? OFFSET ?",
        events_of_a_part, window * events_of_a_part);
    while (s.next()) {
        out.last = {s.integer(0), s.integer(1), s.integer(2)};
        if (out.events.empty()) out.first = out.last;
        auto event = event_from_body(s.bytes(5));
        if (!event) throw_damaged(book, "an event cannot be read: " + event.error().seen);
        out.events.push_back({s.integer(3), std::move(*event), digest_from(s.bytes(4)), {}, {}, false});
    }
    return out;
}

// What is still there of the part; another program may have judged some of it, or put others between.
ToJudge taken(Book::Impl& book, const Part& part) {
    std::set<std::int64_t> rows;
    for (const auto& stored : part.events) rows.insert(stored.id);
    ToJudge out, others;
    for (auto s = book.db.ask("DELETE FROM to_judge WHERE (at, origin, seq) >= (?, ?, ?) AND (at, origin, seq) <= (?, "
                              "?, ?) RETURNING at, "
                              "origin, seq, event",
                              part.first.at, part.first.origin, part.first.seq, part.last.at, part.last.origin,
                              part.last.seq);
         s.next();)
        (rows.contains(s.integer(3)) ? out : others)
            .emplace(Place{s.integer(0), s.integer(1), s.integer(2)}, s.integer(3));
    put_off(book, others);
    return out;
}

void judge_part(Book::Impl& book, const Evaluator& evaluator, const Part& part, std::size_t most) {
    Book::Transaction::Work work(book, hold_to_judge(book, part.events));
    refuse_untrusted_desk(book);
    TableSink sink(book);
    const StoredTies ties(book);
    Replay replay(book, evaluator, book.reg, ties, sink, Replay::From::past);
    replay.enqueue(taken(book, part));
    replay.run_part(most);
    work.open = false;
    book.db.commit();
    book.committed = true;
}

// Returns whether a part was judged. Others hold the first ones where they judge those, or record in their cylinders:
// then one behind it is taken, and at last this program waits.
bool judge_some(Book::Impl& book, const Evaluator& evaluator, WhenHeld held) {
    const auto events =
        std::clamp<std::int64_t>(book.db.integer("SELECT at_once FROM judged_anew").value_or(1), 1, most_of_a_part);
    for (std::int64_t window = 0;; ++window) {
        const bool waits = window == most_windows;
        if (waits && held == WhenHeld::leave) return false;
        const auto part = part_at(book, waits ? 0 : window, events);
        if (part.events.empty()) {
            if (window == 0 || waits) return false;
            window = most_windows - 1;
            continue;
        }
        book.db.wait_for_others(waits);
        try {
            judge_part(book, evaluator, part, static_cast<std::size_t>(events));
            book.db.wait_for_others(true);
            return true;
        } catch (const DbError& e) {
            book.db.wait_for_others(true);
            if (waits || e.fault() != DbFault::held) throw;
        } catch (...) {
            book.db.wait_for_others(true);
            throw;
        }
    }
}

}  // namespace

void judge_anew(Book& book, const Evaluator& evaluator, const std::function<bool(const JudgedAnew&)>& go_on,
                WhenHeld held) {
    auto& impl = Book::Transaction::impl_of(book);
    if (!being_judged_anew(book)) return;
    book.let_go();
    for (int collided = 0;;) {
        const auto how_far = being_judged_anew(book);
        if (!how_far || !go_on(*how_far)) return;
        const bool some = guarded(impl, [&] {
            try {
                const bool judged = judge_some(impl, evaluator, held);
                collided = 0;
                return judged;
            } catch (const DbError& e) {
                if (e.fault() != DbFault::collided || ++collided > most_tries) throw;
                return true;
            } catch (const Refused&) {
                note_stuck(impl);
                throw;
            }
        });
        if (!some) return;
    }
}

}  // namespace tarebook
