#include "take_in.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "branches.hpp"
#include "people.hpp"
#include "snapshot.hpp"

namespace tarebook {
namespace {

constexpr std::size_t most_branches = 64;

Error not_merged(std::string name, std::string what, std::string seen, std::string expected, std::string next) {
    return {ErrorKind::refused, std::move(name),     std::move(what),
            std::move(seen),    std::move(expected), std::move(next)};
}

}  // namespace

TakeIn::TakeIn(Book::Impl& book, Instant now) : book_(book), time_(now), trusted_(trusted_books(book)), events_(book) {
    came_.first = came_.end = free_event_id(book.db);
}

std::int64_t TakeIn::added() const {
    return came_.size();
}

// The digest of the event at a number of a branch; empty if there is none.
std::optional<Digest> TakeIn::digest_at(std::int64_t origin, std::int64_t seq) {
    return book_.db.digest("SELECT digest FROM event WHERE origin = ? AND seq = ?", origin, seq);
}

Digest TakeIn::previous_of(std::int64_t origin, std::int64_t seq) {
    auto s = book_.db.ask("SELECT body FROM event WHERE origin = ? AND seq = ?", origin, seq);
    std::string body;
    if (s.next()) body = s.text(0);
    const auto event = event_from_body(body);
    return event ? event->previous : Digest{};
}

std::int64_t TakeIn::last_of(std::int64_t origin) {
    const auto [it, fresh] = last_.try_emplace(origin, 0);
    if (fresh) {
        it->second = book_.db.integer("SELECT coalesce(max(seq), 0) FROM event WHERE origin = ?", origin).value_or(0);
    }
    return it->second;
}

// The branches of one book, kept for the next call: a bundle tells of one book after another.
const TakeIn::Branches& TakeIn::branches_of(const BookId& id) {
    if (!branches_ || branches_->book != id) {
        branches_ = Branches{};
        branches_->book = id;
        for (const auto& [origin, known] : book_.origins)
            if (known.book == id) (known.is_apart() ? branches_->apart : branches_->chain).push_back(origin);
    }
    return *branches_;
}

std::int64_t TakeIn::where_is(const Event& e, const Digest& digest) {
    const auto& branches = branches_of(e.book);
    for (const auto* list : {&branches.chain, &branches.apart})
        for (const auto origin : *list)
            if (digest_at(origin, e.seq) == digest) return origin;
    return 0;
}

// Whether the event can have that place without contradicting the events before and after it.
bool TakeIn::fits(std::int64_t origin, const Event& e, const Digest& digest) {
    const auto last = last_of(origin);
    const auto parent_seq = book_.origins.at(origin).parent_seq;
    if (e.seq <= parent_seq) return false;
    if (e.seq <= last && digest_at(origin, e.seq)) return false;
    if (e.seq - 1 > parent_seq && e.seq - 1 <= last)
        if (const auto before = digest_at(origin, e.seq - 1); before && *before != e.previous) return false;
    return e.seq >= last || !digest_at(origin, e.seq + 1) || previous_of(origin, e.seq + 1) == digest;
}

// The own chain grows by recording alone: an event that comes in for it goes on a branch beside it, even if the book's
// own key signed it.
Result<std::int64_t> TakeIn::place_of(const Event& e, const Digest& digest) {
    const auto& branches = branches_of(e.book).chain;
    std::int64_t parent = 0;
    for (const auto* list : {&branches, &branches_of(e.book).apart})
        for (const auto origin : *list) {
            if (parent != 0 && book_.origins.at(origin).is_apart()) break;
            if (e.seq > 1 && digest_at(origin, e.seq - 1) == e.previous) {
                parent = origin;
                if (may_grow(origin) && fits(origin, e, digest)) return origin;
            }
        }
    if (parent == 0)
        for (const auto origin : branches)
            if (may_grow(origin) && fits(origin, e, digest)) return origin;
    if (branches.size() >= most_branches)
        return fail(
            not_merged("too-many-branches",
                       fmt::format("book {} would get more than {} branches", hex(e.book).substr(0, 12), most_branches),
                       fmt::format("event {}", e.seq), "a book that few copies went on from",
                       "withdraw the trust in that book, and start a new one on its device"));
    const auto number = branches.empty() ? 0 : book_.origins.at(branches.back()).branch + 1;
    const auto origin = origin_id(e.book, static_cast<std::uint16_t>(number));
    book_.db.run("INSERT INTO origin(id, book, branch, parent, parent_seq) VALUES (?, ?, ?, ?, ?)", origin, e.book,
                 static_cast<std::int64_t>(number), parent, parent == 0 ? 0 : e.seq - 1);
    book_.origins[origin] = {e.book, static_cast<std::uint16_t>(number), 0, parent, parent == 0 ? 0 : e.seq - 1};
    branches_.reset();
    if (number > 0) now().new_branch = true;
    return origin;
}

TakeIn::Covered TakeIn::covered(const BookId& id, const std::string& key) const {
    if (id == book_.info.id) return key == book_.info.public_key ? Covered::all : Covered::none;
    const auto it = trusted_.find(id);
    if (it == trusted_.end() || digest_from_hex(it->second.key) != digest_from_hex(key)) return Covered::none;
    return it->second.withdrawn ? Covered::up_to_withdrawal : Covered::all;
}

Result<void> TakeIn::refuse_look_alike(const BookId& id) const {
    for (auto like = book_.origins.lower_bound(origin_id(id));
         like != book_.origins.end() && like->first >> 16 == origin_id(id) >> 16; ++like)
        if (like->second.book != id && !like->second.is_apart())
            return fail(not_merged("books-look-alike", "the ids of two books begin with the same 47 bits", hex(id),
                                   "an id that was made at random", "start a new book on that device, and send that"));
    return {};
}

Result<void> TakeIn::segment(const BookId& id, const std::string& key) {
    now_covered_ = covered(id, key);
    origin_ = first_of_run_ = 0;
    held_.reset();
    if (now_covered_ == Covered::all) {
        if (auto alone = refuse_look_alike(id); !alone) return alone;
    } else {
        held_ = Held{};
        held_->run.book = id;
        held_->run.key = key;
        held_->run.lines.emplace();
    }
    books.emplace_back().book = id;
    return {};
}

Result<void> TakeIn::event(const Event& e, std::string_view body, const Digest& digest) {
    ++now().events;
    if (!held_) return put(e, body, digest);
    hold(e, body, digest);
    return {};
}

void TakeIn::hold(const Event& e, std::string_view body, const Digest& digest) {
    auto& held = *held_;
    if (held.run.first == 0) held.run.first = e.seq;
    held.here_already = held.here_already && where_is(e, digest) != 0;
    // Of a withdrawn book all of the run may come in; of others no more than quarantine can hold.
    const std::size_t most = now_covered_ == Covered::none ? most_quarantined : 4 * most_quarantined;
    if (held.too_large) return;
    held.too_large = held.run.lines->size() + body.size() >= most;
    if (held.too_large)
        held.run.lines.reset();
    else
        held.run.lines->append(body).append("\n");
}

Result<void> TakeIn::put(const Event& e, std::string_view body, const Digest& digest) {
    if (first_of_run_ == 0) first_of_run_ = e.seq;
    // The usual case: the event follows the last one of the only branch.
    const bool at_the_end = origin_ != 0 && may_grow(origin_) && branches_of(e.book).chain.size() == 1 &&
                            branches_of(e.book).apart.empty() && e.seq > last_of(origin_);
    if (!at_the_end)
        if (const auto origin = where_is(e, digest); origin != 0) {
            origin_ = origin;
            return {};
        }
    if (!at_the_end || e.seq != last_of(origin_) + 1) {
        const auto origin = place_of(e, digest);
        if (!origin) return fail(origin.error());
        origin_ = *origin;
    }
    // Asked before: after a row that it refuses a server takes nothing more in this transaction.
    if (e.own_id &&
        book_.db.any("SELECT 1 FROM event WHERE origin = ? AND own_id = ?", origin_, std::string_view(*e.own_id)))
        return fail(not_merged("own-id-twice",
                               fmt::format("book {} gives one own id to two events", hex(e.book).substr(0, 12)),
                               *e.own_id, "an own id that names one event of its book",
                               "the bundle was not made by Tarebook, or its book is damaged: tarebook check there"));
    events_.put(came_.end, origin_, e, digest, body);
    last_[origin_] = std::max(last_of(origin_), e.seq);
    constexpr std::size_t most_in_memory = 50'000;
    if (read_.size() < most_in_memory) read_.emplace(came_.end, e);
    ++came_.end;
    ++now().added;
    if (std::holds_alternative<kinds::Unknown>(e.what)) ++now().unknown;
    return {};
}

void TakeIn::put_head(const Head& head, std::string_view signature) {
    now().head = head;
    if (forget_arrived(book_, now().book, first_of_run_, head.digest)) quarantine_changed = true;
    if (book_.is_own(origin_, head.seq)) return;  // own heads are only those that were signed here
    book_.db.run("INSERT INTO head(origin, seq, digest, signature) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING", origin_,
                 head.seq, head.digest, Bytes{signature});
}

void TakeIn::head(const Head& head, std::string_view signature) {
    if (!held_) return put_head(head, signature);
    now().head = head;
    auto& run = held_->run;
    run.head = head;
    run.signature = signature;
    if (held_->here_already) return;
    if (now_covered_ == Covered::up_to_withdrawal) admit(run, now_covered_);
    if (run.events() == 0) return;
    switch (keep_waiting(book_, run, time_)) {
        case Kept::as_it_came:
            quarantine_changed = true;
            now().quarantined = run.events();
            break;
        case Kept::already:
            now().quarantined = run.lines ? run.events() : 0;
            now().not_kept = run.lines ? 0 : run.events();
            break;
        case Kept::without_lines:
            quarantine_changed = true;
            [[fallthrough]];
        case Kept::not_at_all:
            now().not_kept = run.events();
    }
}

void TakeIn::snapshot(const BookId& id, const std::string& key, std::int64_t seq, std::string_view body,
                      std::string_view signature) {
    if (covered(id, key) == Covered::all) {
        register_came = keep_snapshot(book_, id, key, seq, body) || register_came;
        return;
    }
    Waiting one;
    one.book = id;
    one.key = key;
    one.head = {seq, digest_of(body)};
    one.signature = signature;
    if (static_cast<std::int64_t>(body.size()) < most_quarantined) one.lines = body;
    const auto kept = keep_waiting(book_, one, time_);
    quarantine_changed = quarantine_changed || kept == Kept::as_it_came || kept == Kept::without_lines;
    register_quarantined = register_quarantined || kept == Kept::as_it_came;
    register_not_kept = register_not_kept || kept == Kept::without_lines || kept == Kept::not_at_all;
}

void TakeIn::person(const PersonName& person) {
    constexpr std::size_t most_names = 65536;
    if (names_.size() < most_names && person_code(person.salt, person.name) == person.code)
        names_.emplace(person.code, person);
}

void TakeIn::keep_names() {
    std::erase_if(names_,
                  [&](const auto& one) { return book_.db.any("SELECT 1 FROM person WHERE code = ?", one.first); });
    if (names_.empty()) return;
    for (const auto& code : codes_of_people(book_))
        if (const auto it = names_.find(code); it != names_.end())
            names_came = keep_person(book_, it->second) || names_came;
    names_.clear();
}

// Returns up to which event of the run a withdrawn book is vouched for. The withdrawal names the last event that counts
// by its digest, and each event names the one before it.
std::int64_t TakeIn::vouched_for(const Waiting& run) {
    const auto& last = trusted_.at(run.book).last;
    if (!last) return 0;
    const auto path = path_to(book_, run.book, *last);
    std::int64_t out = 0;
    each_waiting(run, [&](const Event& e, std::string_view, const Digest& digest) {
        bool vouched = Head{last->first, last->second}.digest == digest && e.seq == last->first;
        for (const auto& [origin, until] : path)
            vouched = vouched || (e.seq <= until && digest_at(origin, e.seq) == digest) ||
                      (e.seq < until && digest_at(origin, e.seq + 1) && previous_of(origin, e.seq + 1) == digest);
        if (vouched) out = e.seq;
    });
    return out;
}

bool TakeIn::put_up_to(const Waiting& run, std::int64_t until) {
    if (!refuse_look_alike(run.book)) return false;
    const auto row = came_.end;
    const auto before = now();
    const auto origins = book_.origins;
    book_.db.script("SAVEPOINT run");
    Result<void> good;
    origin_ = first_of_run_ = 0;
    const bool whole = each_waiting(run, [&](const Event& e, std::string_view body, const Digest& digest) {
        if (good && e.seq <= until) good = put(e, body, digest);
    });
    if (whole && good) {
        if (until == run.head.seq) put_head(run.head, run.signature);
        book_.db.script("RELEASE run");
        return true;
    }
    book_.db.script("ROLLBACK TO run");
    book_.db.script("RELEASE run");
    for (; came_.end > row; --came_.end) read_.erase(came_.end - 1);
    now() = before;
    origin_ = 0;
    last_.clear();
    branches_.reset();
    book_.origins = origins;
    return false;
}

bool TakeIn::admit(Waiting& run, Covered covered) {
    if (!run.lines || covered == Covered::none) return false;
    const auto until = covered == Covered::all ? run.head.seq : vouched_for(run);
    if (until < run.first || !put_up_to(run, until)) return false;
    std::size_t behind = 0;
    for (auto seq = run.first; seq <= until; ++seq) behind = run.lines->find('\n', behind) + 1;
    run.lines->erase(0, behind);
    run.first = until + 1;
    return true;
}

void TakeIn::admit(const BookId& id) {
    for (bool again = true; again;) {
        again = false;
        auto runs = waiting(book_, id);
        // Backwards for a withdrawn book, because an event vouches for the one before it.
        if (const auto it = trusted_.find(id); it != trusted_.end() && it->second.withdrawn)
            std::reverse(runs.begin(), runs.end());
        for (auto& one : runs) {
            const auto how = covered(id, one.key);
            if (how == Covered::none || !one.lines) continue;
            if (one.is_register()) {
                if (how != Covered::all || !holds(one)) continue;
                register_came = keep_snapshot(book_, id, one.key, one.head.seq, *one.lines) || register_came;
                forget_waiting(book_, one.id);
                quarantine_changed = true;
                continue;
            }
            books.emplace_back().book = id;
            now().head = one.head;
            if (!admit(one, how)) {
                books.pop_back();
                continue;
            }
            quarantine_changed = again = true;
            forget_waiting(book_, one.id);
            if (one.events() > 0) keep_waiting(book_, one, time_);
        }
    }
}

void TakeIn::admit_what_follows() {
    std::set<BookId> withdrawn;
    for (const auto& one : books)
        if (const auto it = trusted_.find(one.book); one.added > 0 && it != trusted_.end() && it->second.withdrawn)
            withdrawn.insert(one.book);
    for (const auto& id : withdrawn) admit(id);
}

std::int64_t TakeIn::evaluate(const Evaluator& evaluator, bool anew, Much much) {
    // An event that comes in now replaces what a register said about it.
    anew = anew || register_came ||
           (added() > 0 && book_.db.integer("SELECT EXISTS (SELECT 1 FROM snapshot)").value_or(0) != 0);
    std::set<BookId> seen;
    for (const auto& one : books) {
        if (one.added == 0 || !seen.insert(one.book).second) continue;
        if (has_apart(book_, one.book)) {
            set_apart(book_, one.book, admitted_origins(book_));
            anew = true;
        } else if (branch_count(book_, one.book) > 1) {
            number_branches(book_, one.book);
            anew = true;
        }
    }
    book_.read_origins();
    auto counted = trust_change(book_);
    // Events that fill a gap have numbers below the last one that counts already.
    for (const auto row : book_.db.integers(
             "SELECT e.id FROM event e JOIN origin o ON o.id = e.origin WHERE e.id >= ? AND e.id < ? AND (e.seq <= "
             "o.effective_to OR o.id = ?)",
             came_.first, came_.end, book_.own_origin))
        counted.rows.push_back(row);
    std::sort(counted.rows.begin(), counted.rows.end());
    counted.rows.erase(std::unique(counted.rows.begin(), counted.rows.end()), counted.rows.end());
    const auto out = static_cast<std::int64_t>(counted.rows.size());
    keep_ineffective(book_, came_);
    if (much == Much::put_off) {
        if (anew) {
            sort_out();
            move_steps(book_);
            project_all(book_, evaluator, much);
        } else {
            project_later(book_, evaluator, std::move(counted), came_,
                          [this](const std::vector<std::int64_t>& rows) { return sort_out(rows); });
        }
        return out;
    }
    if (anew)
        project_all(book_, evaluator);
    else if (!counted.rows.empty() || !counted.gone.empty())
        project(book_, evaluator, std::move(counted), read_, came_);
    if (sort_out()) project_all(book_, evaluator);
    return out;
}

bool TakeIn::sort_out(const std::vector<std::int64_t>& without_projections) {
    bool anew = false, any = false;
    std::unordered_set<std::int64_t> may_move(without_projections.begin(), without_projections.end());
    if (!may_move.empty())
        for (auto row = came_.first; row < came_.end; ++row) may_move.insert(row);
    // Twice: the first round may free a place that another book had.
    for (int time = 0; time < 2; ++time) {
        const bool some_apart =
            std::any_of(book_.origins.begin(), book_.origins.end(), [](const auto& o) { return o.second.is_apart(); });
        if (!some_apart && book_.db.integer("SELECT EXISTS (SELECT 1 FROM ineffective WHERE by = 0)").value_or(0) == 0)
            break;
        const auto admitted = admitted_origins(book_);
        std::set<BookId> wrong;
        for (const auto& [origin, until] : admitted) {
            const auto& known = book_.origins.at(origin);
            if (origin == book_.own_origin) continue;
            const auto last =
                book_.db.integer("SELECT coalesce(max(seq), 0) FROM event WHERE origin = ?", origin).value_or(0);
            if (known.is_apart() ? until > known.parent_seq : last > until) wrong.insert(known.book);
        }
        for (const auto& id : wrong) anew = set_apart(book_, id, admitted, may_move) || anew;
        any = any || !wrong.empty();
    }
    // An event that is in the file no more counts again by what a register said about it.
    return anew || (any && book_.db.integer("SELECT EXISTS (SELECT 1 FROM snapshot)").value_or(0) != 0);
}

}  // namespace tarebook
