// Judges and commits. A draft is judged on the state with it; the events that it changes are judged again in total
// order, until the states are equal to the stored ones (I5): a late entry normally reaches only to the next reading of
// its cylinder.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <numeric>

#include "adopt.hpp"
#include "atomic_book_file.hpp"
#include "commit.hpp"
#include "concerned.hpp"
#include "desk.hpp"
#include "event_writer.hpp"
#include "hold.hpp"
#include "journal.hpp"
#include "key.hpp"
#include "own_end.hpp"
#include "people.hpp"
#include "replay.hpp"
#include "table_sink.hpp"
#include "to_judge.hpp"
#include "work.hpp"

namespace tarebook {

namespace {
// The end of the chain as the table has it. On a server it is what was read under the lock and written since: each
// question is a journey there.
std::optional<Head> known_end(Book::Impl& book, const Head& kept) {
    return book.db.on_server() ? kept : writers_end(book);
}

// Runs a part of a recording. Where it met another one, or reached further than it holds, it may begin again.
template <class F>
auto or_again(Book::Impl& book, F&& f) {
    return guarded(book, [&] {
        try {
            return f();
        } catch (const BeyondHold& e) {
            auto more = book.hold;
            more.names.insert(e.name);
            throw Book::Transaction::Again(book.path, std::move(more), e.what());
        } catch (const DbError& e) {
            if (e.fault() != DbFault::collided) throw;  // the server has rolled back
            throw Book::Transaction::Again(book.path, book.hold, e.what());
        }
    });
}
}  // namespace

Book::Transaction::Again::Again(const std::filesystem::path& book, Hold wanted, const std::string& why)
    : StorageError(fmt::format("others record in the book {} at the same time, again and again ({}). "
                               "Nothing was written.",
                               book.string(), why),
                   "try again"),
      hold(std::move(wanted)) {}

Book::Transaction Book::Transaction::begin(Book& book, const Hold& hold) {
    auto& impl = *book.impl_;
    return or_again(impl, [&] {
        Transaction t(std::make_unique<Transaction::Work>(impl, hold));
        refuse_untrusted_desk(impl);
        t.work_->head = signed_end(impl);
        t.work_->first_id = first_event_id(impl, t.work_->head.seq + 1);
        return t;
    });
}

bool Book::Transaction::holds_parts(const Book& book) {
    return book.impl_->db.on_server();
}

Hold Book::Transaction::hold_for(const Book& book, const std::vector<Event>& drafts) {
    return guarded(*book.impl_, [&] { return tarebook::hold_for(*book.impl_, drafts); });
}

std::int64_t free_event_id(Db& db) {
    return db.integer("SELECT max(id) FROM event WHERE id < ?", event_ids_of_a_desk).value_or(0) + 1;
}

Book::Transaction::Transaction(std::unique_ptr<Work> work) : work_(std::move(work)) {}
Book::Transaction::Transaction(Transaction&&) noexcept = default;
Book::Transaction::~Transaction() = default;

namespace {
std::optional<std::int64_t> event_with_digest(Book::Impl& book, std::string_view digest_hex) {
    if (const auto seen = book.seen_digests.find(digest_hex); seen != book.seen_digests.end()) return seen->second;
    const auto digest = digest_from_hex(digest_hex);
    if (!digest) return std::nullopt;
    const auto row = book.row_with_digest(*digest);
    return row == 0 ? std::nullopt : std::optional(row);
}

class ListDrafts : public Drafts {
 public:
    explicit ListDrafts(const std::vector<Event>& drafts) : drafts_(drafts) {}
    [[nodiscard]] std::size_t size() const override { return drafts_.size(); }
    [[nodiscard]] Instant at(std::size_t i) const override { return drafts_[i].when.at; }
    void make(std::size_t i, Event& out) const override { out = drafts_[i]; }

 private:
    const std::vector<Event>& drafts_;
};

// Drafts that this book will append to its chain.
class FreshDrafts : public FreshEvents {
 public:
    FreshDrafts(Book::Impl& book, const Drafts& drafts, const std::vector<std::uint32_t>& which, std::int64_t first_id,
                std::int64_t first_seq)
        : book_(book), drafts_(drafts), which_(which), first_id_(first_id), first_seq_(first_seq) {}
    [[nodiscard]] std::size_t size() const override { return which_.size(); }
    [[nodiscard]] std::int64_t row(std::size_t p) const override { return first_id_ + static_cast<std::int64_t>(p); }
    [[nodiscard]] Place place(std::size_t p) const override {
        return {seconds_of(drafts_.at(which_[p])), book_.writer().origin, seq(p)};
    }
    void make(std::size_t p, Event& e) const override {
        drafts_.make(which_[p], e);
        const auto chain = book_.writer();
        e.book = chain.book;
        e.branch = chain.branch;
        e.seq = seq(p);
        set_names_apart(book_, e);
        say_in_own_words(book_, e);
    }
    [[nodiscard]] std::optional<Instant> recorded(std::int64_t seq) const override {
        if (seq < first_seq_ || seq - first_seq_ >= static_cast<std::int64_t>(which_.size())) return std::nullopt;
        const auto next = recorded_.upper_bound(seq);
        return next == recorded_.begin() ? std::nullopt : std::optional(std::prev(next)->second);
    }
    /// Precondition: called in the order of numbers. Mostly all drafts are recorded at one moment.
    void note_recorded(const Event& e) {
        if (recorded_.empty() || recorded_.rbegin()->second != e.recorded) recorded_[e.seq] = e.recorded;
    }
    [[nodiscard]] bool in_order() const {
        for (std::size_t p = 1; p < which_.size(); ++p)
            if (drafts_.at(which_[p]) < drafts_.at(which_[p - 1])) return false;
        return true;
    }

 private:
    [[nodiscard]] std::int64_t seq(std::size_t p) const { return first_seq_ + static_cast<std::int64_t>(p); }
    Book::Impl& book_;
    const Drafts& drafts_;
    const std::vector<std::uint32_t>& which_;
    std::int64_t first_id_, first_seq_;
    std::map<std::int64_t, Instant> recorded_;  // by the first number that was recorded then
};

// Notes what a draft changes beyond its cylinders: another event, the register.
void prepare(Book::Impl& book, std::int64_t id, const Event& draft, Concerned& concerned) {
    if (const auto* v = std::get_if<kinds::Void>(&draft.what)) {
        // Also if the target is not here: it may come in with another book.
        if (const auto named = digest_from_hex(v->target)) add_naming(book, *named, id);
        const auto target = event_with_digest(book, v->target);
        if (target && note_void(book, *target, id, place_of(draft.order()))) concerned.retract(book.load(*target));
    }
    if (const auto* r = std::get_if<kinds::Resolve>(&draft.what))
        add_resolved(book, r->finding, id, book.writer().origin);
    if (const auto* k = std::get_if<kinds::Settle>(&draft.what)) {
        if (const auto named = digest_from_hex(k->target)) add_naming(book, *named, id);
        if (const auto returned = event_with_digest(book, k->target); returned && is_return(book, *returned))
            concerned.tie(id, place_of(draft.order()), *returned);
    }
    if (const auto* k = std::get_if<kinds::RemoveName>(&draft.what)) remove_names(book, k->people);
    if (const auto change = register_change(draft)) {
        book.reg.apply(*change, draft.order(), book.writer().origin);
        concerned.register_changed(*change);
    }
}

// Drops indexes that the new rows would hit at random: those over circuits and digests, and, if drafts do not come in
// order of time, those over time, jobs and own ids. Precondition: more rows come in than the book has.
std::vector<std::string> drop_indexes(Book::Impl& book, bool in_order) {
    std::vector<std::string> names, dropped;
    if (book.db.on_server()) return dropped;  // others read them meanwhile
    for (auto s = book.db.ask("SELECT name, sql FROM sqlite_schema WHERE type = 'index' AND sql IS NOT NULL AND "
                              "tbl_name IN ('event', 'posting') ORDER BY name");
         s.next();) {
        const auto name = s.text(0);
        if (in_order && name.starts_with("event_") && name != "event_digest") continue;
        names.push_back(name);
        dropped.push_back(s.text(1));
    }
    for (const auto& name : names) book.db.script("DROP INDEX " + name);
    return dropped;
}

// Writes what comes before the drafts: the first event of a desk's chain, and the `typist` where another person or
// device types than the chain says.
void begin_to_append(Book::Transaction::Work& work, const Event& first) {
    if (work.head.seq == 0 && work.book.info.desk) {
        work.head = begin_chain(work.book, first);
        ++work.first_id;
    }
    const auto now = first.recorded;
    if (!work.book.typing) return;
    const auto typist = new_typist(work.book, *work.book.typing, work.head, now);
    if (!typist) return;
    work.head = {typist->seq, EventWriter(work.book).write(work.first_id, *typist)};
    ++work.first_id;
}

// `drop`: gets the SQL of indexes that are dropped until all rows are in.
void judge_drafts(Book::Impl& book, FreshDrafts& fresh, const Evaluator& evaluator, const Book::Transaction::See& see,
                  const std::function<void(double)>& progress, std::vector<std::string>* drop) {
    TableSink sink(book);
    const StoredTies ties(book);
    Replay replay(book, evaluator, book.reg, ties, sink, Replay::From::past);
    Concerned concerned(book, replay);
    Event e;
    for (std::size_t p = 0; p < fresh.size(); ++p) {
        fresh.make(p, e);
        fresh.note_recorded(e);
        prepare(book, fresh.row(p), e, concerned);
    }
    concerned.finish();
    if (too_many_at_once(book, replay.enqueued())) put_off(book, replay.take_enqueued());
    if (drop) *drop = drop_indexes(book, fresh.in_order());
    replay.run(fresh, see, progress);
}

}  // namespace

std::vector<Outcome> Book::Transaction::judge(std::vector<Event>& drafts, const Evaluator& evaluator) {
    auto& book = work_->book;
    return or_again(book, [&] {
        std::vector<std::uint32_t> which(drafts.size());
        std::iota(which.begin(), which.end(), 0U);
        if (!drafts.empty()) begin_to_append(*work_, drafts.front());
        const ListDrafts list(drafts);
        FreshDrafts fresh(book, list, which, work_->first_id, work_->head.seq + 1);
        std::vector<Outcome> outcomes(drafts.size());
        judge_drafts(
            book, fresh, evaluator,
            [&](std::size_t p, const Event& event, Outcome& outcome) {
                outcomes[p] = outcome;
                outcome.findings.clear();  // commit() writes them, as some may be accepted until then
                drafts[p].book = event.book, drafts[p].branch = event.branch, drafts[p].seq = event.seq;
            },
            {}, nullptr);
        return outcomes;
    });
}

void Book::Transaction::judge_many(const Drafts& drafts, std::vector<std::uint32_t> which, const Evaluator& evaluator,
                                   const See& see, const std::function<void(double)>& progress) {
    auto& book = work_->book;
    return guarded(book, [&] {
        auto& many = work_->many;
        many.drafts = &drafts;
        many.which = std::move(which);
        if (!many.which.empty()) {
            Event first;
            drafts.make(many.which.front(), first);
            begin_to_append(*work_, first);
        }
        FreshDrafts fresh(book, drafts, many.which, work_->first_id, work_->head.seq + 1);
        book.db.give_cache(65'536);  // writes each page once, and not again after every two megabytes
        const bool more_than_there_is = static_cast<std::int64_t>(many.which.size()) >= work_->first_id;
        judge_drafts(
            book, fresh, evaluator,
            [&](std::size_t p, Event& event, Outcome& outcome) {
                see(p, event, outcome);
                if (!event.accepted.empty())
                    many.accepted.emplace(p, std::pair(event.anyway.value_or(""), event.accepted));
            },
            progress, more_than_there_is ? &many.dropped_indexes : nullptr);
    });
}

Head Book::Transaction::commit_many(const std::function<void(double)>& progress) {
    auto& book = work_->book;
    return guarded(book, [&] {
        const auto& many = work_->many;
        Head head = work_->head;
        EventWriter events(book, EventWriter::Many::yes);
        Event e;
        for (std::size_t p = 0; p < many.which.size(); ++p) {
            many.drafts->make(many.which[p], e);
            set_names_apart(book, e);
            say_in_own_words(book, e);
            e.book = book.writer().book;
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
        for (const auto& sql : many.dropped_indexes) book.db.script(sql);
        if (!many.which.empty()) sign_head(book, head);
        work_->open = false;
        commit_transaction(book, head);
        return head;
    });
}

namespace {
// Of a chain that is appended to, no event.
class NoFreshEvents : public FreshEvents {
 public:
    [[nodiscard]] std::size_t size() const override { return 0; }
    [[nodiscard]] std::int64_t row(std::size_t) const override { return 0; }
    [[nodiscard]] Place place(std::size_t) const override { return {}; }
    void make(std::size_t, Event&) const override {}
};

// Judges events once more that were written, so that what is found of one names the others as everyone does.
void judge_with_names(Book::Impl& book, const Evaluator& evaluator, const std::vector<StoredEvent>& stored) {
    TableSink sink(book);
    const StoredTies ties(book);
    Replay replay(book, evaluator, book.reg, ties, sink, Replay::From::past);
    for (const auto& one : stored) replay.enqueue(one.id);
    replay.run(NoFreshEvents());
}

// Whether the event is about books, and so changes which events count.
bool changes_what_is_effective(const Event& event) {
    const auto* r = std::get_if<kinds::Resolve>(&event.what);
    return std::holds_alternative<kinds::Trust>(event.what) || std::holds_alternative<kinds::Withdraw>(event.what) ||
           (r && r->finding.starts_with(branch_prefix));
}
}  // namespace

std::vector<StoredEvent> Book::Transaction::commit(std::vector<Event>& drafts, const std::vector<Outcome>& outcomes,
                                                   const Evaluator& evaluator) {
    auto& book = work_->book;
    return or_again(book, [&] {
        std::vector<StoredEvent> stored;
        const auto origin = book.writer().origin;
        Digest previous = work_->head.digest;
        EventWriter events(book, EventWriter::Many::no, known_end(book, work_->head));
        TableSink findings(book);
        for (std::size_t i = 0; i < drafts.size(); ++i) {
            auto& e = drafts[i];
            set_names_apart(book, e);
            say_in_own_words(book, e);
            const auto id = work_->first_id + static_cast<std::int64_t>(i);
            e.previous = previous;
            previous = events.write(id, e);
            findings.findings(id, outcomes[i].findings, Rows::fresh);
            stored.push_back({id, e, previous, {}, book.name_of(origin, e.seq, previous), false});
        }
        findings.finish();
        const Head head{work_->head.seq + static_cast<std::int64_t>(drafts.size()), previous};
        if (!drafts.empty()) sign_head(book, head);
        if (std::any_of(drafts.begin(), drafts.end(), changes_what_is_effective))
            apply_trust_change(book, evaluator, drafts);
        // A draft of a desk has no name for others before it has its digest.
        if (book.info.desk && stored.size() > 1) judge_with_names(book, evaluator, stored);
        work_->open = false;
        commit_transaction(book, head);
        return stored;
    });
}

EventWriter::EventWriter(Book::Impl& book, Many many, std::optional<Head> end) : book_(book), own_end_(end) {
    if (many == Many::yes)
        many_.emplace(book.db, "event(id, origin, seq, at, day, kind, job, own_id, digest, body)", 10);
}

Digest EventWriter::write(std::int64_t id, const Event& e) {
    if (!own_end_) own_end_ = writers_end(book_);
    must_hold(e.seq == own_end_->seq + 1 && e.previous == own_end_->digest,
              "I4: an event of the own chain names the one before it");
    const auto body = canonical_body(e);
    const auto digest = digest_of(body);
    put(id, book_.writer().origin, e, digest, body);
    own_end_ = {e.seq, digest};
    return digest;
}

void EventWriter::put(std::int64_t id, std::int64_t origin, const Event& e, const Digest& digest,
                      std::string_view body) {
    const auto day = static_cast<std::int64_t>(e.when.date().time_since_epoch().count());
    if (many_)
        many_->row(id, origin, e.seq, seconds_of(e.when.at), day, e.kind(), e.job, e.own_id, bytes_of(digest), body);
    else
        book_.db.send(
            "INSERT INTO event(id, origin, seq, at, day, kind, job, own_id, digest, body) VALUES (?, ?, ?, ?, ?, ?, ?, "
            "?, ?, ?)",
            id, origin, e.seq, seconds_of(e.when.at), day, e.kind(), e.job, e.own_id, digest, body);
}

void EventWriter::flush() {
    if (many_) many_->flush();
}

void commit_transaction(Book::Impl& book, const Head& head) {
    const auto origin = book.writer().origin;
    const auto seq = head.seq;
    const auto digest = head.digest;
    commit_or_ask(book, {"up to " + event_name(seq),
                         "run: tarebook check; recording it again with an --own-id that was given does no harm",
                         // By its digest: another program may have recorded an event of that number meanwhile.
                         [&]() -> std::optional<bool> {
                             return seq == 0 ||
                                    book.db.any("SELECT 1 FROM event WHERE origin = ? AND seq = ? AND digest = ?",
                                                origin, seq, digest);
                         }});
}

void sign_head(Book::Impl& book, const Head& head) {
    const auto& [seq, digest] = head;
    const auto last = known_end(book, head).value_or(Head{});
    must_hold(last.seq == seq && last.digest == digest, "the head that is signed is the last event of the own chain");
    const auto chain = book.writer();
    const auto signature = signature_of(book, head_message(chain.book, seq, digest));
    book.db.send("INSERT INTO head(origin, seq, digest, signature) VALUES (?, ?, ?, ?)", chain.origin, seq, digest,
                 signature);
    if (book.info.desk) {  // it counts up to what its head covers
        book.db.send("UPDATE origin SET effective_to = ? WHERE id = ?", seq, chain.origin);
        book.origins.at(chain.origin).effective_to = seq;
    }
    note_written(book, {seq, digest});
}

void Book::rebuild(const Evaluator& evaluator) {
    guarded(*impl_, [&] {
        auto& book = *impl_;
        Transaction::Work work(book);
        work.head = head();
        note_checks_edition(book.db);
        // Events that were put in behind the last signed head are kept, and do not count.
        if (const auto covered = last_signed(book); covered < work.head.seq) book.own_effective_to = covered;
        project_all(book, evaluator);
        book.own_effective_to.reset();
        work.open = false;
        commit_without_event(book);
    });
}

}  // namespace tarebook
