#include "to_judge.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "insert_many.hpp"
#include "tarebook/units/refused.hpp"
#include "transaction.hpp"

namespace tarebook {
namespace {

// "9 000"
std::string in_threes(std::int64_t number) {
    auto out = std::to_string(number);
    for (auto at = static_cast<std::int64_t>(out.size()) - 3; at > 0; at -= 3)
        out.insert(static_cast<std::size_t>(at), 1, ' ');
    return out;
}

// A book that no newer program has recorded in yet has no such table, and a role that only reads may not read it.
bool may_have_some(Db& db) {
    return db.on_server() &&
           db.integer("SELECT coalesce(has_table_privilege(to_regclass('tarebook.to_judge'), 'SELECT'), false)")
                   .value_or(0) != 0;
}

// Keeps how many wait. `first`: none did before.
void count_waiting(Book::Impl& book, bool first) {
    book.db.run(
        "UPDATE judged_anew SET stuck = CASE ?1 WHEN 1 THEN 0 ELSE stuck END, epoch = epoch + ?1, at_first = "
        "greatest(CASE ?1 WHEN 1 THEN 0 ELSE at_first END, "
        "(SELECT count(*) FROM to_judge))",
        static_cast<std::int64_t>(first));
    book.puts_off = true;
}

Error refusal(const JudgedAnew& how_far) {
    return {ErrorKind::refused,
            "being-judged-anew",
            "some events are still being judged anew, and this waits for the last one",
            how_far.text(),
            "no event that waits",
            "run: tarebook refold"};
}

}  // namespace

std::string JudgedAnew::text() const {
    return fmt::format("being judged anew: {} of {} event{} wait{}; until then pages show them as they were before",
                       in_threes(waiting), in_threes(at_first), at_first == 1 ? "" : "s", waiting == 1 ? "s" : "");
}

bool too_many_at_once(Book::Impl& book, std::size_t events) {
    if (!book.db.on_server() || !book.hold.whole || events == 0) return false;
    return static_cast<std::int64_t>(events) > book.db.integer("SELECT at_once FROM judged_anew").value_or(INT64_MAX);
}

void put_off(Book::Impl& book, const ToJudge& events) {
    if (events.empty()) return;
    const bool first = book.hold.whole && !anything_waits(book);
    if (first) {
        InsertMany rows(book.db, "to_judge(at, origin, seq, event)", 4);
        for (const auto& [place, row] : events) rows.row(place.at, place.origin, place.seq, row);
        rows.flush();
    } else {
        std::set<Place> there;
        const auto &from = events.begin()->first, &to = events.rbegin()->first;
        for (auto s = book.db.ask("SELECT at, origin, seq FROM to_judge WHERE (at, origin, seq) >= (?, ?, ?) AND (at, "
                                  "origin, seq) <= (?, ?, ?)",
                                  from.at, from.origin, from.seq, to.at, to.origin, to.seq);
             s.next();)
            there.insert({s.integer(0), s.integer(1), s.integer(2)});
        for (const auto& [place, row] : events) {
            if (there.contains(place)) continue;
            book.db.send("INSERT INTO to_judge(at, origin, seq, event) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
                         place.at, place.origin, place.seq, row);
        }
    }
    if (book.hold.whole) count_waiting(book, first);  // the row of a count would let parts wait for each other
}

void put_off_all(Book::Impl& book) {
    const bool first = !anything_waits(book);
    book.db.run(
        "INSERT INTO to_judge(at, origin, seq, event) SELECT at, origin, seq, id FROM event ON CONFLICT DO NOTHING");
    count_waiting(book, first);
}

void nothing_waits(Book::Impl& book) {
    if (book.db.on_server()) book.db.run("DELETE FROM to_judge");
}

bool anything_waits(Book::Impl& book) {
    return may_have_some(book.db) && book.db.any("SELECT 1 FROM to_judge LIMIT 1");
}

std::optional<JudgedAnew> being_judged_anew(Book::Impl& book) {
    if (!may_have_some(book.db)) return std::nullopt;
    auto s = book.db.ask("SELECT (SELECT count(*) FROM to_judge), at_first FROM judged_anew");
    if (!s.next() || s.integer(0) == 0) return std::nullopt;
    return JudgedAnew{s.integer(0), std::max(s.integer(0), s.integer(1))};
}

void note_stuck(Book::Impl& book) {
    book.db.run("UPDATE judged_anew SET stuck = 1");
}

bool is_stuck(Book::Impl& book) {
    return anything_waits(book) && book.db.any("SELECT 1 FROM judged_anew WHERE stuck = 1");
}

void refuse_while_judged_anew(Book::Impl& book) {
    if (const auto how_far = being_judged_anew(book)) throw Refused(refusal(*how_far));
}

std::optional<JudgedAnew> being_judged_anew(const Book& book) {
    auto& impl = Book::Transaction::impl_of(book);
    return guarded(impl, [&] { return being_judged_anew(impl); });
}

std::optional<Error> not_while_judged_anew(const Book& book) {
    const auto how_far = being_judged_anew(book);
    return how_far ? std::optional(refusal(*how_far)) : std::nullopt;
}

bool has_put_off(const Book& book) {
    return Book::Transaction::impl_of(book).puts_off;
}

}  // namespace tarebook
