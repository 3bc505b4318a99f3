#include "tarebook/book/merge.hpp"

#include <fmt/format.h>

#include "chain_clock.hpp"
#include "commit.hpp"
#include "desk.hpp"
#include "event_writer.hpp"
#include "own_end.hpp"
#include "people.hpp"
#include "table_sink.hpp"
#include "take_in.hpp"
#include "tarebook/units/word_list.hpp"
#include "to_judge.hpp"
#include "work.hpp"

namespace tarebook {

struct Merging::Work {
    Work(Book::Impl& b, const Moment& now) : book(b), open(b), time(now), take(b, now.at) {
        // Each truck's events cover the same years: the indexes over time and own ids should stay in memory.
        book.db.give_cache(65'536);
    }
    Book::Impl& book;
    Book::Transaction::Work open;
    const Moment time;
    TakeIn take;
};

Merging::Merging(Book& book, const Moment& now) {
    work_ = guarded(*book.impl_, [&] {
        refuse_at_a_desk(*book.impl_, "takes in bundles");
        auto work = std::make_unique<Work>(*book.impl_, now);
        static_cast<void>(signed_end(*book.impl_));
        refuse_while_judged_anew(*book.impl_);
        return work;
    });
}
Merging::Merging(Merging&&) noexcept = default;
Merging::~Merging() = default;

Result<void> Merging::segment(const Segment& segment) {
    if (auto good = not_apart(work_->book.info.id, segment.book); !good) return good;
    return guarded(work_->book, [&] { return work_->take.segment(segment.book, segment.public_key); });
}

Result<void> Merging::event(const Event& e, std::string_view body, const Digest& digest) {
    return guarded(work_->book, [&] { return work_->take.event(e, body, digest); });
}

void Merging::head(const Head& head, std::string_view signature) {
    guarded(work_->book, [&] { work_->take.head(head, signature); });
}

void Merging::snapshot(const BookId& book, const std::string& public_key, std::int64_t seq, std::string_view body,
                       std::string_view signature) {
    guarded(work_->book, [&] { work_->take.snapshot(book, public_key, seq, body, signature); });
}

void Merging::person(const PersonName& person) {
    guarded(work_->book, [&] { work_->take.person(person); });
}

namespace {

std::vector<std::pair<std::int64_t, std::int64_t>> missing_of(Book::Impl& book, const BookId& id) {
    std::vector<std::pair<std::int64_t, std::int64_t>> out;
    for (const auto& [origin, known] : book.origins) {
        if (known.book != id || known.is_apart()) continue;
        auto s = book.db.ask(
            "SELECT seq, lag(seq, 1, ?2) OVER (ORDER BY seq) AS before FROM event WHERE "
            "origin = ?1",
            origin, known.parent_seq);
        while (s.next())
            if (s.integer(0) > s.integer(1) + 1) out.emplace_back(s.integer(1) + 1, s.integer(0) - 1);
    }
    return out;
}

std::int64_t events_in_quarantine(Book::Impl& book) {
    std::int64_t out = 0;
    for (const auto& one : waiting(book)) out += one.kept ? one.events() : 0;
    return out;
}

}  // namespace

Merged Merging::commit(const Evaluator& evaluator) {
    return guarded(work_->book, [&] {
        auto& book = work_->book;
        auto& take = work_->take;
        Merged out;
        take.admit_what_follows();
        out.counted = take.evaluate(evaluator);
        take.keep_names();
        out.added = take.added();
        out.own_head = own_end(book);
        constexpr std::size_t most_bytes = 8000;  // of one event's field: a merge of a large fleet is several events
        std::vector<std::string> heads(1);
        for (auto& one : take.books) {
            bool here = false;
            for (const auto& [origin, known] : book.origins) {
                here = here || known.book == one.book;
                one.is_effective =
                    one.is_effective || (known.book == one.book &&
                                         (known.effective_to > 0 || (origin == book.own_origin && one.added == 0)));
            }
            if (!here || one.quarantined + one.not_kept == one.events) continue;
            one.missing = missing_of(book, one.book);
            // This merge did not receive what is in quarantine.
            if (book.row_with_digest(one.head.digest) == 0) continue;
            if (heads.back().size() > most_bytes) heads.emplace_back();
            add_word(heads.back(), fmt::format("{}:{}", hex(one.book), head_text(one.head)), " ");
        }
        out.not_counted = book.db
                              .integer("SELECT count(*) FROM ineffective WHERE by = 0 AND event >= ? AND event < ?",
                                       take.came().first, take.came().end)
                              .value_or(0);
        out.ineffective = book.db.integer("SELECT count(*) FROM ineffective WHERE by = 0").value_or(0);
        out.quarantined = events_in_quarantine(book);
        // Also when only a head came that makes count what was here: a program that watches the book sees the change by
        // this event.
        if (out.added > 0 || out.counted > 0) {
            auto row = take.came().end;
            if (book.typing)
                if (const auto typist = new_typist(book, *book.typing, out.own_head, work_->time.at))
                    out.own_head = {typist->seq, EventWriter(book).write(row++, *typist)};
            TableSink found(book);
            for (auto& some : heads) {
                Event e;
                e.book = book.info.id;
                e.branch = book.own_branch;
                e.seq = out.own_head.seq + 1;
                e.previous = out.own_head.digest;
                e.when = work_->time;
                e.recorded = e.when.at;
                e.what = kinds::Merge{std::move(some)};
                out.own_head = {e.seq, EventWriter(book).write(row, e)};
                States before;
                before.recorded_before = ChainClock(book).before(e);
                found.findings(row++, evaluator.evaluate(e, before, book.reg).findings, Rows::fresh);
            }
            found.finish();
            sign_head(book, out.own_head);
        }
        out.register_came = take.register_came || take.register_quarantined || take.register_not_kept;
        out.register_counts = out.register_came && !take.register_quarantined && !take.register_not_kept;
        out.register_not_kept = take.register_not_kept;
        out.books = std::move(take.books);
        out.wrote =
            out.added > 0 || out.counted > 0 || take.register_came || take.quarantine_changed || take.names_came;
        work_->open.open = false;
        if (out.added > 0 || out.counted > 0)
            commit_transaction(book, out.own_head);
        else if (out.wrote)
            commit_without_event(book);
        else
            book.db.roll_back();
        return out;
    });
}

}  // namespace tarebook
