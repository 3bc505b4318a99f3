#include "tarebook/record_many.hpp"

#include <algorithm>

#include "references.hpp"
#include "tarebook/checks.hpp"
#include "texts.hpp"

namespace tarebook {
namespace {

class Many {
 public:
    Many(Book& book, const Drafts& drafts, const ManyOptions& options)
        : book_(book), drafts_(drafts), options_(options), judge_(Notes::left_out) {}

    tl::expected<ManyRecorded, DraftProblems> run() {
        choose();
        if (problems_.count > 0 || fresh_.empty()) return answer(book_.head());
        auto transaction = book_.begin();
        const auto part = [&](double from, double to) {
            return [this, from, to](double done) {
                if (options_.progress) options_.progress(from + (to - from) * done);
            };
        };
        transaction.judge_many(
            drafts_, fresh_, judge_,
            [&](std::size_t position, Event& event, Outcome& outcome) { look(fresh_[position], event, outcome); },
            part(0.1, 0.6));
        return answer(problems_.count > 0 ? Head{} : transaction.commit_many(part(0.6, 1)));
    }

 private:
    // Leaves out what is there already, and asks whether everything named is on record.
    void choose() {
        References references(book_);
        const bool may_be_there = book_.has_own_ids();
        Event e;
        for (std::size_t i = 0; i < drafts_.size(); ++i) {
            drafts_.make(i, e);
            if (options_.progress && i % 4096 == 0)
                options_.progress(0.1 * static_cast<double>(i) / static_cast<double>(drafts_.size()));
            if (auto error = check_texts(e)) {
                problem(i, std::move(*error));
                continue;
            }
            if (may_be_there) {
                auto there = already_there(book_, e);
                if (!there) {
                    problem(i, std::move(there.error()));
                    continue;
                }
                if (*there) {
                    ++done_.already;
                    continue;
                }
            }
            if (auto error = references.check(e))
                problem(i, std::move(*error));
            else
                fresh_.push_back(static_cast<std::uint32_t>(i));
        }
    }

    void look(std::size_t draft, Event& event, Outcome& outcome) {
        for (auto& f : outcome.findings) {
            if (f.severity == Severity::note) continue;
            ++done_.exceptions;
            if (options_.anyway) {
                event.accepted.push_back({f.check, f.subject, f.text});
                event.anyway = options_.anyway;
                f.accepted = *options_.anyway;
            } else if (f.severity == Severity::refusal) {
                problem(draft, refused(f.check, f.text, f.seen, f.expected, f.next));
            }
        }
    }

    void problem(std::size_t draft, Error error) {
        ++problems_.count;
        auto& list = problems_.listed;
        // they come in order of time, and are listed in the order of the drafts
        if (list.size() == options_.most_listed && list.back().draft < draft) return;
        const auto place = std::upper_bound(list.begin(), list.end(), draft,
                                            [](std::size_t d, const DraftProblem& p) { return d < p.draft; });
        list.insert(place, {draft, std::move(error)});
        if (list.size() > options_.most_listed) list.pop_back();
    }

    tl::expected<ManyRecorded, DraftProblems> answer(const Head& head) {
        if (problems_.count > 0) return tl::unexpected(std::move(problems_));
        done_.recorded = fresh_.size();
        done_.head = head;
        return done_;
    }

    Book& book_;
    const Drafts& drafts_;
    const ManyOptions& options_;
    const Judge judge_;
    std::vector<std::uint32_t> fresh_;
    ManyRecorded done_;
    DraftProblems problems_;
};

}  // namespace

tl::expected<ManyRecorded, DraftProblems> record_many(Book& book, const Drafts& drafts, const ManyOptions& options) {
    return Many(book, drafts, options).run();
}

}  // namespace tarebook
