// What may have changed since a reader read the book: the events that came in or count otherwise, those that the book
// judges again because of them, and those that the states of their cylinders reach.
#include "tarebook/book/changes.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "concerned.hpp"
#include "migrations.hpp"
#include "tarebook/book/book.hpp"

namespace tarebook {
namespace {

// FNV-1a, 64 bits: two states that differ have one mark once in 2^64.
class StepMark {
 public:
    void take(std::string_view bytes) {
        for (const char c : bytes) hash_ = (hash_ ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
    }
    void take(std::int64_t number) {
        for (auto v = static_cast<std::uint64_t>(number), n = std::uint64_t{8}; n > 0; --n, v >>= 8U)
            hash_ = (hash_ ^ (v & 0xffU)) * 0x100000001b3U;
    }
    [[nodiscard]] std::int64_t value() const { return static_cast<std::int64_t>(hash_); }

 private:
    std::uint64_t hash_ = 0xcbf29ce484222325U;
};

// Columns: at, origin, seq, event, moved, gap, state.
BookStep book_step(Book::Impl& book, const Answer& s, std::string_view cylinder) {
    BookStep out;
    out.place = {s.integer(0), s.integer(1), s.integer(2)};
    out.event_id = s.integer(3);
    out.order = book.key(out.place.at, out.place.origin, out.place.seq);
    out.cylinder = cylinder;
    out.state = s.bytes(6);
    out.moved = Mass::from_count(s.integer(4));
    out.gap = Mass::from_count(s.integer(5));
    StepMark mark;
    mark.take(out.event_id);
    mark.take(out.moved.count());
    mark.take(out.gap.count());
    mark.take(out.state);
    out.mark = mark.value();
    return out;
}

std::string rests_on_of(Book::Impl& book) {
    std::string out = fmt::format("schema {}, book {}, checks {}, origin {}\n", newest_schema, hex(book.info.id),
                                  book.info.checks_edition, book.own_origin);
    for (const auto& [id, origin] : book.origins)
        out += fmt::format("origin {} {} {}\n", id, origin.parent, origin.parent_seq);
    for (auto s = book.db.ask("SELECT book, key, seq FROM snapshot ORDER BY book, key"); s.next();)
        out += fmt::format("register {} {} {}\n", hex(s.fixed<16>(0)), s.text(1), s.integer(2));
    out += fmt::format("names {}\n", book.db.integer("SELECT count(name) FROM person").value_or(0));
    // What a book says of books decides which events count; a name that was removed may stand in any row.
    for (auto s = book.db.ask(
             "SELECT id, kind, body FROM event WHERE kind IN ('remove-name', 'resolve', 'trust', 'withdraw') AND "
             "kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', "
             "'count-unknown', 'count-weigh', 'extension', 'inspect', 'leak', 'leak-test', 'merge', "
             "'mothball', 'plan', 'remove-name', 'repair', 'resolve', 'return', 'settle', 'start', "
             "'trust', 'typist', 'withdraw') ORDER BY id");
         s.next();)
        if (s.bytes(1) != kinds::Resolve::name || s.bytes(2).find("\"branch/") != std::string_view::npos)
            out += fmt::format("about books {}\n", s.integer(0));
    return out;
}

std::set<std::pair<std::int64_t, std::int64_t>> ineffective_rows(Db& db) {
    std::set<std::pair<std::int64_t, std::int64_t>> out;
    for (auto s = db.ask("SELECT event, by FROM ineffective ORDER BY event"); s.next();)
        out.emplace_hint(out.end(), s.integer(0), s.integer(1));
    return out;
}

// The highest number of the book's events, then of each desk's.
std::vector<std::int64_t> last_ids(Db& db) {
    std::vector<std::int64_t> out;
    for (std::int64_t below = INT64_MAX; below > 0;) {
        const auto last = db.integer("SELECT max(id) FROM event WHERE id < ?", below);
        if (!last) break;
        out.push_back(*last);
        below = *last / event_ids_of_a_desk * event_ids_of_a_desk;
    }
    std::reverse(out.begin(), out.end());
    return out;
}

// Of the book's events and of each desk's: behind which number they are new, and the last one.
std::vector<std::pair<std::int64_t, std::int64_t>> new_ranges(Db& db, const std::vector<std::int64_t>& seen_ids) {
    std::vector<std::pair<std::int64_t, std::int64_t>> out;
    for (const auto end : last_ids(db)) {
        std::int64_t last = end / event_ids_of_a_desk * event_ids_of_a_desk;
        for (const auto seen : seen_ids)
            if (seen / event_ids_of_a_desk == end / event_ids_of_a_desk) last = seen;
        out.emplace_back(last, end);
    }
    return out;
}

class ChangesSince : public JudgedAgain {
 public:
    ChangesSince(Book::Impl& book, const SeenSteps& seen) : book_(book), seen_(seen), concerned_(book, *this) {}

    void enqueue(std::int64_t row) override {
        if (!queued_.insert(row).second) return;
        auto s = book_.db.ask("SELECT at, origin, seq FROM event WHERE id = ?", row);
        if (s.next()) queue_.emplace(PlaceInFile{s.integer(0), s.integer(1), s.integer(2)}, row);
    }
    void enqueue_statements(std::int64_t returned) override {
        for (const auto& tied : StoredTies(book_).statements_on(returned)) enqueue(tied.row);
    }

    BookChanges of(const BookMark& mark) {
        BookChanges out;
        out.all = !look_at_new(mark) || !look_at_others(mark);
        if (out.all) return out;
        concerned_.finish();
        follow(out);
        out.entries = std::move(entries_);
        return out;
    }

 private:
    // False where all may have changed.
    bool look_at_new(const BookMark& mark) {
        if (rests_on_of(book_) != mark.rests_on) return false;
        if (mark.last_ids.empty() ||
            book_.db.digest("SELECT digest FROM event WHERE id = ?", mark.last_ids.front()) != mark.last)
            return false;
        std::set<std::int64_t> rows;
        std::map<std::int64_t, std::int64_t> first_of_others;  // by origin, its first new number
        for (const auto& [last, end] : new_ranges(book_.db, mark.last_ids))
            for (auto s =
                     book_.db.ask("SELECT id, origin, seq FROM event WHERE id > ? AND id <= ? ORDER BY id", last, end);
                 s.next();) {
                rows.insert(s.integer(0));
                if (s.integer(1) == book_.own_origin) continue;
                auto& first = first_of_others.try_emplace(s.integer(1), s.integer(2)).first->second;
                first = std::min(first, s.integer(2));
            }
        if (2 * static_cast<std::int64_t>(rows.size()) > mark.events) return false;  // reading all is as quick
        const bool of_others = !first_of_others.empty();
        // An event that fills a gap of its chain: what follows it has other names and another clock before it.
        for (const auto& [origin, first] : first_of_others)
            for (auto s = book_.db.ask("SELECT id FROM event WHERE origin = ? AND seq > ?", origin, first); s.next();)
                if (!rows.contains(s.integer(0))) return false;
        if (of_others && !books_ever_withdrawn(book_).empty()) return false;
        for (const auto row : rows) look_at(row);
        if (!of_others) return true;
        for (const auto& [origin, begin] : book_.branch_begins)
            enqueue(
                book_.db.integer("SELECT id FROM event WHERE origin = ? AND seq = ?", origin, begin.seq).value_or(0));
        return true;
    }
    // Events that count now and did not, or do no more, or for another void.
    bool look_at_others(const BookMark& mark) {
        const auto now = ineffective_rows(book_.db);
        std::vector<std::pair<std::int64_t, std::int64_t>> differ;
        std::set_symmetric_difference(now.begin(), now.end(), mark.ineffective.begin(), mark.ineffective.end(),
                                      std::back_inserter(differ));
        if (2 * static_cast<std::int64_t>(differ.size()) > mark.events) return false;
        for (const auto& [row, by] : differ) look_at(row);
        return true;
    }

    // An event that came in, or counts otherwise than it did.
    void look_at(std::int64_t row) {
        if (queued_.contains(row) && looked_at_.contains(row)) return;
        looked_at_.insert(row);
        enqueue(row);
        const auto stored = book_.load(row);
        const auto& event = stored.event;
        for (const auto named_by : book_.db.integers("SELECT event FROM naming WHERE digest = ?", stored.digest))
            enqueue(named_by);
        if (const auto* k = std::get_if<kinds::Settle>(&event.what))
            if (const auto returned = digest_from_hex(k->target)) {
                if (const auto there = book_.row_with_digest(*returned)) enqueue(there);
                for (const auto other : book_.db.integers("SELECT event FROM naming WHERE digest = ?", *returned))
                    enqueue(other);
            }
        if (const auto* k = std::get_if<kinds::Resolve>(&event.what))
            if (const auto about = resolved_name(book_, k->finding, origin_of(event.order())).about) enqueue(about);
        if (const auto change = register_change(event)) {
            entries_.emplace(change->entry, change->code);
            if (book_.db.any("SELECT 1 FROM ineffective WHERE event = ?", row))
                concerned_.register_lacks(*change);
            else
                concerned_.register_changed(*change);
        }
    }

    // From the earliest event on: what follows it in its cylinders, as far as their states differ from those seen.
    void follow(BookChanges& out) {
        while (!queue_.empty()) {
            const auto [place, row] = *queue_.begin();
            queue_.erase(queue_.begin());
            out.events.push_back(row);
            const auto event = book_.load(row).event;
            if (std::holds_alternative<kinds::Return>(event.what)) enqueue_statements(row);
            for (const auto& cylinder : cylinders_of(event))
                if (out.cylinders.emplace(cylinder, place).second) compare(cylinder, place);
        }
    }
    // Enqueues what follows each step that is not as it was seen: the next step, and all that may tell of the same act.
    void compare(const std::string& cylinder, const PlaceInFile& from) {
        std::vector<SeenStep> now;
        auto s = book_.db.ask(
            "SELECT at, origin, seq, event, moved, gap, state FROM step WHERE cylinder = (SELECT id FROM account WHERE "
            "kind = 'cylinder' AND code = ?) AND (at, origin, seq) >= (?, ?, ?) ORDER BY at, origin, seq",
            cylinder, from.at, from.origin, from.seq);
        while (s.next()) now.push_back(book_step(book_, s, cylinder));
        const auto then = seen_(cylinder, from);
        auto before = then.begin();
        for (const auto& step : now) {
            for (; before != then.end() && before->place < step.place; ++before)
                enqueue_from(now, before->place, before->event_id);
            const bool there = before != then.end() && before->place == step.place;
            if (!there || before->mark != step.mark) enqueue_from(now, step.place, step.event_id);
            if (there) ++before;
        }
        for (; before != then.end(); ++before) enqueue_from(now, before->place, before->event_id);
    }
    void enqueue_from(const std::vector<SeenStep>& now, const PlaceInFile& place, std::int64_t event) {
        constexpr auto reach = std::chrono::seconds(nearby_reach).count();
        enqueue(event);
        auto step = std::upper_bound(now.begin(), now.end(), place,
                                     [](const PlaceInFile& a, const SeenStep& b) { return a < b.place; });
        for (bool next = true; step != now.end() && (next || step->place.at <= place.at + reach); ++step, next = false)
            enqueue(step->event_id);
    }

    Book::Impl& book_;
    const SeenSteps& seen_;
    Concerned concerned_;
    std::set<std::pair<EntryKind, std::string>> entries_;
    std::unordered_set<std::int64_t> queued_, looked_at_;
    std::map<PlaceInFile, std::int64_t> queue_;
};

}  // namespace

PlaceInFile place_in_file(const OrderKey& order) {
    return place_of(order);
}

OrderKey Book::order_at(const PlaceInFile& place) const {
    return guarded(*impl_, [&] { return impl_->key(place.at, place.origin, place.seq); });
}

std::vector<std::int64_t> Book::last_rows() const {
    return guarded(*impl_, [&] { return last_ids(impl_->db); });
}

std::optional<std::vector<std::int64_t>> Book::rows_since(const std::vector<std::int64_t>& last_rows,
                                                          std::size_t most) const {
    return guarded(*impl_, [&]() -> std::optional<std::vector<std::int64_t>> {
        for (const auto row : last_rows)
            if (!impl_->db.any("SELECT 1 FROM event WHERE id = ?", row)) return std::nullopt;
        std::vector<std::int64_t> out;
        for (const auto& [last, end] : new_ranges(impl_->db, last_rows)) {
            if (static_cast<std::size_t>(end - last) > most - out.size()) return std::nullopt;
            const auto rows =
                impl_->db.integers("SELECT id FROM event WHERE id > ? AND id <= ? ORDER BY id", last, end);
            out.insert(out.end(), rows.begin(), rows.end());
        }
        return out;
    });
}

BookMark Book::mark() const {
    return guarded(*impl_, [&] {
        BookMark out;
        out.rests_on = rests_on_of(*impl_);
        out.last_ids = last_ids(impl_->db);
        for (const auto last : out.last_ids) out.events += last % event_ids_of_a_desk;  // of each, numbers begin with 1
        if (!out.last_ids.empty())
            out.last =
                impl_->db.digest("SELECT digest FROM event WHERE id = ?", out.last_ids.front()).value_or(Digest{});
        out.ineffective = ineffective_rows(impl_->db);
        const auto instant = [](const std::optional<std::int64_t>& at) {
            return Instant(std::chrono::seconds(at.value_or(0)));
        };
        out.first_at = instant(impl_->db.integer("SELECT min(at) FROM event"));
        out.last_at = instant(impl_->db.integer("SELECT max(at) FROM event"));
        return out;
    });
}

BookChanges Book::changes_since(const BookMark& mark, const SeenSteps& seen) const {
    return guarded(*impl_, [&] { return ChangesSince(*impl_, seen).of(mark); });
}

void Book::each_step(const ForEach<const BookStep&>& visit) const {
    guarded(*impl_, [&] {
        std::int64_t account = 0;
        std::string code;
        auto s = impl_->db.ask(
            "SELECT at, origin, seq, event, moved, gap, state, cylinder FROM step ORDER BY cylinder, at, "
            "origin, seq");
        while (s.next()) {
            if (const auto of = s.integer(7); of != account) {
                account = of;
                code = impl_->db.text("SELECT code FROM account WHERE id = ?", account).value_or("");
            }
            if (visit(book_step(*impl_, s, code)) == Walk::stop) return;
        }
    });
}

void Book::each_step_of(std::string_view cylinder, const PlaceInFile& from,
                        const ForEach<const BookStep&>& visit) const {
    guarded(*impl_, [&] {
        auto s = impl_->db.ask(
            "SELECT at, origin, seq, event, moved, gap, state FROM step WHERE cylinder = (SELECT id FROM account WHERE "
            "kind = 'cylinder' AND code = ?) AND (at, origin, seq) >= (?, ?, ?) ORDER BY at, origin, seq",
            cylinder, from.at, from.origin, from.seq);
        while (s.next())
            if (visit(book_step(*impl_, s, cylinder)) == Walk::stop) return;
    });
}

}  // namespace tarebook
