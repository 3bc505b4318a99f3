// Many events that pass the fold one after another: an import, a merge, a rebuild. Where judge looks each state up and
// puts it back, here the states of all cylinders stay in memory while the events pass in their order; rows go to the
// tables in the order of their keys.
#include "many.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

#include "refold.hpp"
#include "voided_entries.hpp"
#include "work.hpp"

namespace tarebook {

ManyFold::ManyFold(Book::Impl& book, const ManySource& source, bool has_events)
    : book_(book),
      source_(source),
      has_events_(has_events),
      postings_(book.db, "posting(event, n, account, lot, mass, circuit_day)", 6) {}

ManyFold::Slot& ManyFold::slot_of(const std::string& code) {
    const auto [it, fresh] = slots_.try_emplace(code);
    if (fresh) it->second = std::make_unique<Slot>();
    auto& slot = *it->second;
    if (!fresh || !has_events_) return slot;
    const auto account = book_.account_id({AccountKind::cylinder, code}, false);
    if (account == 0) return slot;
    auto& s = bound(book_.db.statement("SELECT at, origin, seq, state FROM step WHERE cylinder = ? ORDER BY at DESC, "
                                       "origin DESC, seq DESC LIMIT 1"),
                    account);
    if (s.executeStep()) {
        slot.stood = true;
        slot.last = book_.key(s.getColumn(0).getInt64(), s.getColumn(1).getInt64(), s.getColumn(2).getInt64());
        slot.state = state_in(s.getColumn(3));
    }
    s.reset();
    if (slot.stood && !book_.one_book()) slot.touches = touches_before(book_, account, past(slot.last));
    return slot;
}

void ManyFold::run(const Evaluator& evaluator, const Book::Transaction::See& see,
                   const std::function<void(double)>& progress) {
    order_.resize(source_.size());
    std::iota(order_.begin(), order_.end(), 0U);
    const auto before = [&](std::uint32_t a, std::uint32_t b) { return source_.order(a) < source_.order(b); };
    if (!std::is_sorted(order_.begin(), order_.end(), before)) std::stable_sort(order_.begin(), order_.end(), before);
    book_.db.run("PRAGMA cache_size = -65536");  // pages are written once, not whenever two megabytes are full
    Event e;
    for (std::size_t done_so_far = 0; done_so_far < order_.size(); ++done_so_far) {
        const auto p = order_[done_so_far];
        source_.make(p, e);
        one(p, e, evaluator, see);
        if (progress && done_so_far % 4096 == 0)
            progress(static_cast<double>(done_so_far) / static_cast<double>(order_.size()));
    }
    postings_.flush();
    write_steps();
    write_balances();
}

void ManyFold::one(std::size_t p, Event& e, const Evaluator& evaluator, const Book::Transaction::See& see) {
    const auto id = source_.row(p);
    States before;
    const auto name = [this](std::int64_t row) { return book_.name_of_row(row); };
    touched_.clear();
    for (const auto& code : cylinders_of(e)) {
        touched_.push_back(&slot_of(code));
        if (!book_.one_book()) add_touches(before, code, touched_.back()->touches, e.order(), name);
        before.emplace(code, std::move(touched_.back()->state));
    }
    if (!book_.one_book()) before.fork = fork_at(book_, e);
    auto outcome = naming_event(book_, id, e, [&] { return evaluator.evaluate(e, before, book_.reg); });
    if (see) see(p, e, outcome);
    for (std::size_t i = 0; i < touched_.size(); ++i) {  // an outcome has one effect for each cylinder, in order
        auto& effect = outcome.effects[i];
        auto& slot = *touched_[i];
        if (slot.account == 0) slot.account = book_.account_id({AccountKind::cylinder, effect.cylinder}, true);
        const auto bytes = packed(effect.after);
        steps_.push_back({slot.account, seconds_of(e.when.at), origin_of(e.order()), e.seq, id, effect.moved.count(),
                          effect.gap.count(), arena_.size(), bytes.size()});
        arena_ += bytes;
        if (!book_.one_book())
            keep_touch(slot.touches,
                       {touch_of(e, effect.cylinder, effect.moved, effect.gap, effect.after.contents(), {}), id});
        slot.state = std::move(effect.after);
    }
    write_postings(id, e, outcome);
    write_findings(book_, id, outcome.findings);
}

std::int64_t ManyFold::account_of(const Posting& posting, const Outcome& outcome) {
    if (posting.account.kind == AccountKind::cylinder)
        for (std::size_t i = 0; i < touched_.size(); ++i)
            if (outcome.effects[i].cylinder == posting.account.code) return touched_[i]->account;
    return book_.account_id(posting.account, true);
}

void ManyFold::write_postings(std::int64_t id, const Event& e, const Outcome& outcome) {
    std::int64_t n = 0;
    for (const auto& posting : outcome.postings) {
        const auto account = account_of(posting, outcome);
        const auto lot = book_.lot_id(posting.lot);
        postings_.row(id, n++, account, lot, posting.mass.count(), circuit_day(posting, e));
        balances_.at(account, lot) += posting.mass;
    }
}

void ManyFold::write_steps() {
    std::stable_sort(steps_.begin(), steps_.end(),
                     [](const StepRow& a, const StepRow& b) { return a.account < b.account; });
    InsertMany insert(book_.db, "step(cylinder, at, origin, seq, event, moved, gap, state)", 8);
    Insert standing(book_.db, "INSERT OR REPLACE INTO standing(cylinder, state) VALUES (?, ?)");
    for (std::size_t i = 0; i < steps_.size(); ++i) {
        const auto& row = steps_[i];
        const Insert::Bytes state{std::string_view(arena_).substr(row.state, row.state_size)};
        insert.row(row.account, row.at, row.origin, row.seq, row.event, row.moved, row.gap, state);
        // nothing came in before what the book has of a cylinder: its last step here is its last
        if (i + 1 == steps_.size() || steps_[i + 1].account != row.account) standing.row(row.account, state);
    }
    insert.flush();
}

void ManyFold::write_balances() {
    balances_.each([&](std::int64_t account, std::int64_t lot, const MassTotal& sum) {
        done(bound(book_.db.statement("INSERT INTO balance(account, lot, mass) VALUES (?, ?, ?) ON CONFLICT DO "
                                      "UPDATE SET mass = mass + excluded.mass"),
                   account, lot, sum.value().count()));
    });
}

namespace {

// Drafts of this book, to be appended to its chain.
class DraftSource : public ManySource {
 public:
    DraftSource(const Book::Impl& book, const Drafts& drafts, const std::vector<std::uint32_t>& which,
                std::int64_t first_id, std::int64_t first_seq)
        : book_(book), drafts_(drafts), which_(which), first_id_(first_id), first_seq_(first_seq) {}
    [[nodiscard]] std::size_t size() const override { return which_.size(); }
    [[nodiscard]] std::int64_t row(std::size_t p) const override { return first_id_ + static_cast<std::int64_t>(p); }
    [[nodiscard]] OrderKey order(std::size_t p) const override {
        return {drafts_.at(which_[p]), book_.info.id, seq(p), book_.own_branch};
    }
    void make(std::size_t p, Event& e) const override {
        drafts_.make(which_[p], e);
        e.book = book_.info.id;
        e.branch = book_.own_branch;
        e.seq = seq(p);
        e.accepted.clear();
    }
    [[nodiscard]] bool in_order() const {
        for (std::size_t p = 1; p < which_.size(); ++p)
            if (drafts_.at(which_[p]) < drafts_.at(which_[p - 1])) return false;
        return true;
    }

 private:
    [[nodiscard]] std::int64_t seq(std::size_t p) const { return first_seq_ + static_cast<std::int64_t>(p); }
    const Book::Impl& book_;
    const Drafts& drafts_;
    const std::vector<std::uint32_t>& which_;
    std::int64_t first_id_, first_seq_;
};

// An entry that is new, and under which nothing stands already (it could, where an entry was voided).
bool only_adds(Book::Impl& book, const Event& e, const RegisterChange& change, bool has_events) {
    const auto* entry = std::get_if<kinds::Entry>(&e.what);
    if (!entry || !entry->adds || change.values.contains("owner_group")) return false;
    if (!has_events) return true;
    if (change.entry == EntryKind::scale || change.entry == EntryKind::machine) return false;
    auto& s = bound(book.db.statement("SELECT 1 FROM account WHERE kind IN ('cylinder', 'circuit') AND (code = ?1 "
                                      "OR (code > ?1 || '/' AND code < ?1 || '0'))"),
                    change.code);
    const bool stands = s.executeStep();
    s.reset();
    return !stands;
}

// Worth it where more comes in than there is, for indexes that the rows would hit at random: that over circuits; those
// over time, jobs and own ids too where the drafts do not come in order of time.
std::vector<std::string> drop_indexes(Book::Impl& book, bool in_order) {
    std::vector<std::string> names, dropped;
    {
        SQLite::Statement s(book.db.raw(),
                            "SELECT name, sql FROM sqlite_schema WHERE type = 'index' AND sql IS NOT NULL AND "
                            "tbl_name IN ('event', 'posting') ORDER BY name");
        while (s.executeStep()) {
            const auto name = s.getColumn(0).getString();
            if (in_order && name.starts_with("event_")) continue;
            names.push_back(name);
            dropped.push_back(s.getColumn(1).getString());
        }
    }
    for (const auto& name : names) book.db.raw().exec("DROP INDEX " + name);
    return dropped;
}

}  // namespace

bool book_has_events(Book::Impl& book) {
    // A release or an outside charge touches no cylinder: it has postings, and no step.
    return book.db.raw().execAndGet("SELECT EXISTS (SELECT 1 FROM step) OR EXISTS (SELECT 1 FROM posting)").getInt() !=
           0;
}

bool Book::Transaction::judge_many(const Drafts& drafts, std::vector<std::uint32_t> which, const Evaluator& evaluator,
                                   const See& see, const std::function<void(double)>& progress) {
    auto& book = work_->book;
    return guarded(book, [&] {
        auto& many = work_->many;
        many.drafts = &drafts;
        many.which = std::move(which);
        const DraftSource source(book, drafts, many.which, work_->first_id, work_->head.seq + 1);
        const bool has_events = book_has_events(book);
        ManyFold fold(book, source, has_events);
        const auto voided = voided_cylinder_entries(book);
        std::vector<std::size_t> entries;
        Event e;
        for (std::size_t p = 0; p < source.size(); ++p) {
            source.make(p, e);
            if (std::holds_alternative<kinds::Void>(e.what) || std::holds_alternative<kinds::Resolve>(e.what) ||
                std::holds_alternative<kinds::Settle>(e.what))
                return false;
            if (const auto change = register_change(e)) {
                if (!only_adds(book, e, *change, has_events)) return false;
                entries.push_back(p);
            }
            for (const auto& code : cylinders_of(e)) {
                const auto& slot = fold.slot_of(code);
                if ((slot.stood && e.order() < slot.last) || voided.contains(code)) return false;
            }
        }
        for (const auto p : entries) {
            source.make(p, e);
            book.reg.apply(*register_change(e), e.order(), book.own_origin);
        }
        if (static_cast<std::int64_t>(many.which.size()) >= work_->first_id)
            many.dropped_indexes = drop_indexes(book, source.in_order());
        fold.run(
            evaluator,
            [&](std::size_t p, Event& event, Outcome& outcome) {
                see(p, event, outcome);
                if (!event.accepted.empty())
                    many.accepted.emplace(p, std::pair(event.anyway.value_or(""), event.accepted));
            },
            progress);
        return true;
    });
}

Head Book::Transaction::commit_many(const std::function<void(double)>& progress) {
    auto& book = work_->book;
    return guarded(book, [&] {
        const auto& many = work_->many;
        Head head = work_->head;
        EventWriter events(book, EventWriter::Rows::many);
        Event e;
        for (std::size_t p = 0; p < many.which.size(); ++p) {
            many.drafts->make(many.which[p], e);
            e.book = book.info.id;
            e.seq = head.seq + 1;
            e.previous = head.digest;
            e.accepted.clear();
            if (const auto taken = many.accepted.find(p); taken != many.accepted.end()) {
                e.anyway = taken->second.first;
                e.accepted = taken->second.second;
            }
            head = {e.seq, events.write(work_->first_id + static_cast<std::int64_t>(p), e)};
            if (progress && p % 4096 == 0) progress(static_cast<double>(p) / static_cast<double>(many.which.size()));
        }
        events.flush();
        for (const auto& sql : many.dropped_indexes) book.db.raw().exec(sql);
        if (!many.which.empty()) sign_head(book, head.seq, head.digest);
        work_->open = false;
        commit_transaction(book, head.seq);
        return head;
    });
}

}  // namespace tarebook
