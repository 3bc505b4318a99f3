#include "tarebook/record_many.hpp"

#include "references.hpp"
#include "tarebook/checks.hpp"
#include "texts.hpp"

namespace tarebook {

tl::expected<ManyRecorded, DraftProblems> record_many(Book& book, const Drafts& drafts, const ManyOptions& options) {
    DraftProblems problems;
    auto problem = [&](std::size_t i, Error error) {
        if (problems.listed.size() < options.most_listed) problems.listed.push_back({i, std::move(error)});
        ++problems.count;
    };
    References references(book);
    ManyRecorded done;
    std::vector<Event> fresh;
    std::vector<std::size_t> draft_of;
    for (std::size_t i = 0; i < drafts.size(); ++i) {
        Event e;
        drafts.make(i, e);
        if (options.anyway) e.anyway = options.anyway;
        if (auto error = check_texts(e)) {
            problem(i, std::move(*error));
            continue;
        }
        auto there = already_there(book, e);
        if (!there) {
            problem(i, std::move(there.error()));
            continue;
        }
        if (*there) {
            ++done.already;
            continue;
        }
        if (auto error = references.check(e)) {
            problem(i, std::move(*error));
            continue;
        }
        fresh.push_back(std::move(e));
        draft_of.push_back(i);
    }
    const Judge judge;
    auto transaction = book.begin();
    auto outcomes = transaction.judge(fresh, judge);
    for (std::size_t i = 0; i < fresh.size(); ++i)
        for (auto& f : outcomes[i].findings) {
            if (f.severity == Severity::note) continue;
            ++done.exceptions;
            if (options.anyway) {
                fresh[i].accepted.push_back({f.check, f.subject, f.text});
                f.accepted = *options.anyway;
            } else if (f.severity == Severity::refusal) {
                problem(draft_of[i], refused(f.check, f.text, f.seen, f.expected, f.next));
            }
        }
    if (problems.count > 0) return tl::unexpected(std::move(problems));
    done.recorded = fresh.size();
    if (!fresh.empty()) transaction.commit(fresh, outcomes);
    done.head = book.head();
    return done;
}

}  // namespace tarebook
