// Many drafts at the end of the book's time: an import. Where judge looks each state up and puts it back, here the
// states of all cylinders stay in memory while the drafts pass in order of time; rows go to the tables in the order of
// their keys, and the indexes that they would hit at random are made anew at the end.
#include <fmt/format.h>

#include <algorithm>
#include <numeric>

#include "balances.hpp"
#include "refold.hpp"
#include "work.hpp"

namespace tarebook {
namespace {

// A cylinder while the drafts pass.
struct Slot {
    CylinderState state;
    std::int64_t account = 0;
    bool stood = false;  // it has steps in the book
    OrderKey last;       // the last of them
};

struct StepRow {
    std::int64_t account, at, seq, event, moved, gap;
    std::size_t state, state_size;  // in the arena
};

class ManyJudge {
 public:
    ManyJudge(Book::Impl& book, const Drafts& drafts, const std::vector<std::uint32_t>& which, std::int64_t first_id,
              std::int64_t first_seq)
        : book_(book),
          drafts_(drafts),
          which_(which),
          first_id_(first_id),
          first_seq_(first_seq),
          postings_(book.db, "INSERT INTO posting(event, n, account, lot, mass, circuit) VALUES (?, ?, ?, ?, ?, ?)") {}

    // Also learns the cylinders, the entries and the order of time.
    bool suits() {
        // A release or an outside charge touches no cylinder: it has postings, and no step.
        const bool has_events = book_.db.raw()
                                    .execAndGet("SELECT EXISTS (SELECT 1 FROM step) OR EXISTS (SELECT 1 FROM posting)")
                                    .getInt() != 0;
        Event e;
        for (std::size_t p = 0; p < which_.size(); ++p) {
            make(p, e);
            if (std::holds_alternative<kinds::Void>(e.what) || std::holds_alternative<kinds::Resolve>(e.what) ||
                std::holds_alternative<kinds::Settle>(e.what))
                return false;
            if (const auto change = register_change(e)) {
                if (!only_adds(e, *change, has_events)) return false;
                entries_.push_back(p);
            }
            for (const auto& code : cylinders_of(e)) {
                const auto& slot = slot_of(code, has_events);
                if (slot.stood && e.order() < slot.last) return false;
            }
            in_order_ = in_order_ && (p == 0 || drafts_.at(which_[p - 1]) <= drafts_.at(which_[p]));
        }
        order_.resize(which_.size());
        std::iota(order_.begin(), order_.end(), 0U);
        if (!in_order_)
            std::stable_sort(order_.begin(), order_.end(), [&](std::uint32_t a, std::uint32_t b) {
                return drafts_.at(which_[a]) < drafts_.at(which_[b]);
            });
        return true;
    }

    void run(const Evaluator& evaluator, ManyWork& work, const Book::Transaction::See& see,
             const std::function<void(double)>& progress) {
        Event e;
        for (const auto p : entries_) {
            make(p, e);
            book_.reg.apply(*register_change(e), e.order(), book_.own_origin);
        }
        drop_indexes(work);
        book_.db.run("PRAGMA cache_size = -65536");  // pages are written once, not whenever two megabytes are full
        for (std::size_t done_so_far = 0; done_so_far < order_.size(); ++done_so_far) {
            const auto p = order_[done_so_far];
            make(p, e);
            one(p, e, evaluator, work, see);
            if (progress && done_so_far % 4096 == 0)
                progress(static_cast<double>(done_so_far) / static_cast<double>(order_.size()));
        }
        write_steps();
        write_balances();
    }

 private:
    void make(std::size_t p, Event& e) const {
        drafts_.make(which_[p], e);
        e.book = book_.info.id;
        e.seq = first_seq_ + static_cast<std::int64_t>(p);
        e.accepted.clear();
    }

    // An entry that is new, and under which nothing stands already (it could, where an entry was voided).
    bool only_adds(const Event& e, const RegisterChange& change, bool has_events) const {
        const auto* entry = std::get_if<kinds::Entry>(&e.what);
        if (!entry || !entry->adds || change.values.contains("owner_group")) return false;
        if (!has_events) return true;
        if (change.entry == EntryKind::scale || change.entry == EntryKind::machine) return false;
        auto& s = bound(book_.db.statement("SELECT 1 FROM account WHERE kind IN ('cylinder', 'circuit') AND (code = ?1 "
                                           "OR (code > ?1 || '/' AND code < ?1 || '0'))"),
                        change.code);
        const bool stands = s.executeStep();
        s.reset();
        return !stands;
    }

    Slot& slot_of(const std::string& code, bool has_events) {
        const auto [it, fresh] = slots_.try_emplace(code);
        if (fresh) it->second = std::make_unique<Slot>();
        auto& slot = *it->second;
        if (!fresh || !has_events) return slot;
        const auto account = book_.account_id({AccountKind::cylinder, code}, false);
        if (account == 0) return slot;
        auto& s =
            bound(book_.db.statement("SELECT at, origin, seq, state FROM step WHERE cylinder = ? ORDER BY at DESC, "
                                     "origin DESC, seq DESC LIMIT 1"),
                  account);
        if (s.executeStep()) {
            slot.stood = true;
            slot.last = {Instant(std::chrono::seconds(s.getColumn(0).getInt64())),
                         book_.book_of(s.getColumn(1).getInt64()), s.getColumn(2).getInt64()};
            const auto column = s.getColumn(3);
            slot.state =
                unpacked({static_cast<const char*>(column.getBlob()), static_cast<std::size_t>(column.getBytes())});
        }
        s.reset();
        return slot;
    }

    void one(std::size_t p, Event& e, const Evaluator& evaluator, ManyWork& work, const Book::Transaction::See& see) {
        const auto id = first_id_ + static_cast<std::int64_t>(p);
        States before;
        touched_.clear();
        for (const auto& code : cylinders_of(e)) {
            touched_.push_back(slots_.find(code)->second.get());
            before.emplace(code, std::move(touched_.back()->state));
        }
        auto outcome = evaluator.evaluate(e, before, book_.reg);
        see(p, e, outcome);
        if (!e.accepted.empty()) work.accepted.emplace(p, std::pair(e.anyway.value_or(""), e.accepted));
        for (std::size_t i = 0; i < touched_.size(); ++i) {  // an outcome has one effect for each cylinder, in order
            auto& effect = outcome.effects[i];
            auto& slot = *touched_[i];
            if (slot.account == 0) slot.account = book_.account_id({AccountKind::cylinder, effect.cylinder}, true);
            const auto bytes = packed(effect.after);
            steps_.push_back({slot.account, seconds_of(e.when.at), e.seq, id, effect.moved.count(), effect.gap.count(),
                              arena_.size(), bytes.size()});
            arena_ += bytes;
            slot.state = std::move(effect.after);
        }
        write_postings(id, outcome);
        write_findings(book_, id, outcome.findings);
    }

    [[nodiscard]] std::int64_t account_of(const Posting& posting, const Outcome& outcome) {
        if (posting.account.kind == AccountKind::cylinder)
            for (std::size_t i = 0; i < touched_.size(); ++i)
                if (outcome.effects[i].cylinder == posting.account.code) return touched_[i]->account;
        return book_.account_id(posting.account, true);
    }
    void write_postings(std::int64_t id, const Outcome& outcome) {
        std::int64_t n = 0;
        for (const auto& posting : outcome.postings) {
            const auto account = account_of(posting, outcome);
            const auto lot = book_.lot_id(posting.lot);
            postings_.row(id, n++, account, lot, posting.mass.count(), circuit_mark(posting));
            balances_.at(account, lot) += posting.mass;
        }
    }

    void write_steps() {
        std::stable_sort(steps_.begin(), steps_.end(),
                         [](const StepRow& a, const StepRow& b) { return a.account < b.account; });
        Insert insert(book_.db,
                      "INSERT INTO step(cylinder, at, origin, seq, event, moved, gap, state) VALUES (?, ?, ?, ?, ?, ?, "
                      "?, ?)");
        for (const auto& row : steps_)
            insert.row(row.account, row.at, book_.own_origin, row.seq, row.event, row.moved, row.gap,
                       Insert::Bytes{std::string_view(arena_).substr(row.state, row.state_size)});
    }

    void write_balances() {
        balances_.each([&](std::int64_t account, std::int64_t lot, const MassTotal& sum) {
            done(bound(book_.db.statement("INSERT INTO balance(account, lot, mass) VALUES (?, ?, ?) ON CONFLICT DO "
                                          "UPDATE SET mass = mass + excluded.mass"),
                       account, lot, sum.value().count()));
        });
    }

    // Worth it where more comes in than there is, for indexes that the rows would hit at random: that over circuits;
    // those over time, jobs and own ids too where the drafts do not come in order of time.
    void drop_indexes(ManyWork& work) const {
        if (static_cast<std::int64_t>(which_.size()) < first_id_) return;
        std::vector<std::string> names;
        {
            SQLite::Statement s(book_.db.raw(),
                                "SELECT name, sql FROM sqlite_schema WHERE type = 'index' AND sql IS NOT NULL AND "
                                "tbl_name IN ('event', 'posting') ORDER BY name");
            while (s.executeStep()) {
                const auto name = s.getColumn(0).getString();
                if (in_order_ && name.starts_with("event_")) continue;
                names.push_back(s.getColumn(0).getString());
                work.dropped_indexes.push_back(s.getColumn(1).getString());
            }
        }
        for (const auto& name : names) book_.db.raw().exec("DROP INDEX " + name);
    }

    Book::Impl& book_;
    const Drafts& drafts_;
    const std::vector<std::uint32_t>& which_;
    std::int64_t first_id_;
    std::int64_t first_seq_;
    std::vector<std::size_t> entries_;
    std::vector<std::uint32_t> order_;  // positions, in order of time
    bool in_order_ = true;
    ByCode<std::unique_ptr<Slot>> slots_;
    Insert postings_;
    std::vector<Slot*> touched_;  // by the event that passes, in the order of its effects
    std::vector<StepRow> steps_;
    std::string arena_;
    Balances balances_;
};

}  // namespace

bool Book::Transaction::judge_many(const Drafts& drafts, std::vector<std::uint32_t> which, const Evaluator& evaluator,
                                   const See& see, const std::function<void(double)>& progress) {
    auto& book = work_->book;
    return guarded(book, [&] {
        auto& many = work_->many;
        many.drafts = &drafts;
        many.which = std::move(which);
        ManyJudge judge(book, drafts, many.which, work_->first_id, work_->head.seq + 1);
        if (!judge.suits()) return false;
        judge.run(evaluator, many, see, progress);
        return true;
    });
}

Head Book::Transaction::commit_many(const std::function<void(double)>& progress) {
    auto& book = work_->book;
    return guarded(book, [&] {
        const auto& many = work_->many;
        Head head = work_->head;
        EventWriter events(book);
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
        for (const auto& sql : many.dropped_indexes) book.db.raw().exec(sql);
        if (!many.which.empty()) sign_head(book, head.seq, head.digest);
        work_->open = false;
        commit_transaction(book, head.seq);
        return head;
    });
}

}  // namespace tarebook
