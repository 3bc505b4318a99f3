#include <algorithm>

#include "book/transaction.hpp"
#include "references.hpp"
#include "sorted_drafts.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/checks/draft_form.hpp"
#include "tarebook/record/record.hpp"

namespace tarebook {
namespace {

class OfThisBook : public Drafts {
 public:
    OfThisBook(const Book& book, const Drafts& drafts) : book_(book), drafts_(drafts) {}
    [[nodiscard]] std::size_t size() const override { return drafts_.size(); }
    [[nodiscard]] Instant at(std::size_t i) const override { return drafts_.at(i); }
    void make(std::size_t i, Event& out) const override {
        drafts_.make(i, out);
        take_country_of_book(book_, out);
    }

 private:
    const Book& book_;
    const Drafts& drafts_;
};

class Many {
 public:
    Many(Book& book, const Drafts& drafts, const RecordOptions& options)
        : book_(book), drafts_(book, drafts), options_(options), judge_(book.reference_data(), Notes::left_out) {}

    Recorded run() {
        book_.hold_still();
        choose();
        if (out_.problem_count > 0 || fresh_.empty()) {
            out_.head = book_.head();
            book_.let_go();
            return std::move(out_);
        }
        const auto mark = book_.version_mark();
        auto transaction = Book::Transaction::begin(book_);
        if (book_.version_mark() != mark) {  // another program recorded in between
            choose();
            if (out_.problem_count > 0 || fresh_.empty()) return answer(book_.head());
        }
        const auto part = [&](double from, double to) {
            return [this, from, to](double done) {
                if (options_.progress) options_.progress(from + (to - from) * done);
            };
        };
        transaction.judge_many(
            drafts_, fresh_, judge_,
            [&](std::size_t position, Event& event, Outcome& outcome) {
                take_outcome(fresh_[position], event, outcome);
            },
            part(0.1, 0.6));
        return answer(stays() ? transaction.commit_many(part(0.6, 1)) : Head{});
    }

 private:
    [[nodiscard]] bool stays() const { return out_.problem_count == 0 && !options_.dry_run; }

    // Leaves out drafts that are in the book already, and checks that all they refer to is on record.
    void choose() {
        out_ = {};
        fresh_.clear();
        References references(book_);
        const bool may_be_there = book_.has_own_ids();
        Event e;
        for (std::size_t i = 0; i < drafts_.size(); ++i) {
            drafts_.make(i, e);
            if (options_.progress && i % 4096 == 0)
                options_.progress(0.1 * static_cast<double>(i) / static_cast<double>(drafts_.size()));
            auto errors = draft_form_problems(book_.reference_data(), e);
            if (!errors.empty()) {
                for (auto& error : errors) problem(i, std::move(error));
                continue;
            }
            if (may_be_there) {
                auto there = already_there(book_, e);
                if (!there) {
                    problem(i, std::move(there.error()));
                    continue;
                }
                if (*there) {
                    ++out_.already_count;
                    continue;
                }
            }
            if (auto error = references.check(e))
                problem(i, std::move(*error));
            else {
                fresh_.push_back(static_cast<std::uint32_t>(i));
                out_.years.insert(static_cast<int>(std::chrono::year_month_day(e.when.date()).year()));
            }
        }
    }

    void take_outcome(std::size_t draft, Event& event, Outcome& outcome) {
        for (auto& f : outcome.findings) {
            if (f.severity == Severity::note) continue;
            if (options_.anyway) {
                event.accepted.push_back({f.check, f.subject, f.text});
                event.anyway = options_.anyway;
                f.accepted = *options_.anyway;
            } else if (f.severity == Severity::refusal) {
                problem(draft, refused(f.check, f.text, f.seen, f.expected, f.next));
                continue;
            }
            ++out_.exception_count;
            if (out_.exceptions.size() < options_.most_listed) out_.exceptions.push_back({draft, f});
        }
    }

    void problem(std::size_t draft, Error error) {
        ++out_.problem_count;
        auto& list = out_.problems;
        // They come in order of time, and are listed in the order of the drafts.
        if (list.size() == options_.most_listed && list.back().draft <= draft) return;
        const auto place = std::upper_bound(list.begin(), list.end(), draft,
                                            [](std::size_t d, const DraftProblem& p) { return d < p.draft; });
        list.insert(place, {draft, std::move(error)});
        if (list.size() > options_.most_listed) list.pop_back();
    }

    Recorded answer(const Head& head) {
        if (out_.problem_count == 0) out_.recorded_count = fresh_.size();
        out_.head = head;
        return std::move(out_);
    }

    Book& book_;
    const OfThisBook drafts_;
    const RecordOptions& options_;
    const Judge judge_;
    std::vector<std::uint32_t> fresh_;
    Recorded out_;
};

}  // namespace

Recorded record_many(Book& book, const Drafts& drafts, const RecordOptions& options) {
    if (!options.dry_run) return Many(book, drafts, options).run();
    auto copy = book.copy_in_memory();
    return Many(copy, drafts, options).run();
}

}  // namespace tarebook
