#include "tarebook/record/record.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <tuple>

#include "book/transaction.hpp"
#include "references.hpp"
#include "sorted_drafts.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/units/refused.hpp"

namespace tarebook {
namespace {

struct Against {
    std::size_t draft = 0;
    Finding finding;
    bool askable = false;  // a yes would accept it, and a person is at the terminal
};

// The drafts as they would be recorded, with the findings that are accepted; what refuses them; what is to be asked.
struct Judged {
    std::vector<Event> drafts;
    std::vector<Outcome> outcomes;
    std::vector<Against> against, questions;
};

// The findings that a person said yes to, with the figures that were shown.
class Answers {
 public:
    void yes(const Finding& f) { said_.insert(key(f)); }
    [[nodiscard]] bool said_yes(const Finding& f) const { return said_.contains(key(f)); }

 private:
    using Key = std::tuple<std::string, std::string, std::string, std::string, std::string, std::string>;
    static Key key(const Finding& f) { return {f.check, f.subject, f.text, f.seen, f.expected, f.question}; }
    std::set<Key> said_;
};

Judged judged(Book::Transaction& transaction, const Judge& judge, const std::vector<Event>& drafts,
              const Answers& answers, bool can_ask) {
    Judged out{drafts, {}, {}, {}};
    out.outcomes = transaction.judge(out.drafts, judge);
    for (std::size_t i = 0; i < drafts.size(); ++i) {
        auto& draft = out.drafts[i];
        const auto reason = drafts[i].anyway;
        for (auto& f : out.outcomes[i].findings) {
            if (f.severity == Severity::note || !f.accepted.empty()) continue;
            const bool said_yes = answers.said_yes(f);
            const bool askable = !f.question.empty() && can_ask;
            if (askable && !said_yes && !reason) out.questions.push_back({i, f, true});
            if (f.severity == Severity::refusal && !reason && !said_yes) out.against.push_back({i, f, askable});
            if (reason || said_yes) {
                draft.accepted.push_back({f.check, f.subject, f.text});
                f.accepted = reason.value_or(std::string(said_yes_at_terminal));
                draft.anyway = f.accepted;
            }
        }
    }
    return out;
}

std::string after_a_no(const Finding& f) {
    if (f.check == "entered-twice") return "it is on record as it is: tarebook report event shows it";
    if (f.check == "charge-of-used-gas") return "tarebook reuse, with the same weights";
    return "weigh again, then record what the scale says";
}
Error answered_no(const Finding& f) {
    return refused("answered-no", "not recorded, as you answered", f.text, "yes, or a corrected reading",
                   after_a_no(f));
}
Error refusal(const Finding& f) {
    return refused(f.check, f.text, f.seen, f.expected, f.next);
}

// One recording: sorts, judges and commits under one lock, and does so again after each round of questions.
class Recording {
 public:
    using Sort = std::function<SortedDrafts(const Book&)>;
    // judged_too: a draft with a problem does not end the judging of the others.
    enum class Problems { judged_too, end_it };

    Recording(Book& book, const RecordOptions& options)
        : options_(options), book_(&book), judge_(book.reference_data()) {
        if (!options.dry_run) return;
        copy_.emplace(book.copy_in_memory());
        book_ = &*copy_;
    }

    // `early`: the drafts as sorted before the lock. It is used only if no other program has recorded since.
    Recorded run(const Sort& sort, Problems problems, std::optional<SortedDrafts> early = {}, std::int64_t mark = 0) {
        sort_ = &sort;
        problems_ = problems;
        early_ = std::move(early);
        mark_ = mark;
        for (int tries = 0;;) {
            try {
                if (auto done = once()) return std::move(*done);
            } catch (const Book::Transaction::Again& again) {
                // Others came in between, or more is to be held than was thought. If it lasts, all others wait once.
                hold_ = again.hold;
                if (++tries == most_tries) hold_ = Hold{};
                if (tries > most_tries) throw;
            }
        }
    }
    [[nodiscard]] const Book& book() const { return *book_; }

 private:
    static constexpr int most_tries = 4;

    // What is to be held is known once the drafts are, and these may change until it is held: they are sorted before,
    // and again behind it.
    void find_hold() {
        if (options_.dry_run || !Book::Transaction::holds_parts(*book_)) {
            hold_ = Hold{};
            return;
        }
        hold_ = Book::Transaction::hold_for(*book_, early_ ? early_->fresh : (*sort_)(*book_).fresh);
    }
    static bool reaches(const Hold& held, const Hold& wanted) {
        return held.whole || (!wanted.whole && std::includes(held.names.begin(), held.names.end(), wanted.names.begin(),
                                                             wanted.names.end()));
    }

    // Nothing where it has to begin again: after questions, or with more to hold.
    std::optional<Recorded> once() {
        if (!hold_) find_hold();
        {
            auto transaction = Book::Transaction::begin(*book_, *hold_);
            auto sorted = early_ && book_->version_mark() == mark_ ? std::move(*early_) : (*sort_)(*book_);
            early_.reset();
            if (!hold_->whole)
                if (auto wanted = Book::Transaction::hold_for(*book_, sorted.fresh); !reaches(*hold_, wanted)) {
                    hold_ = std::move(wanted);
                    return std::nullopt;
                }
            if (problems_ == Problems::end_it && !sorted.problems.empty()) return refused_for(std::move(sorted));
            if (sorted.fresh.empty() && sorted.all_read) return refused_for(std::move(sorted));
            auto found = judged(transaction, judge_, sorted.fresh, answers_, options_.ask != nullptr);
            take_exceptions(sorted, found);
            if (!sorted.problems.empty() || !sorted.all_read || must_end(found)) {
                take_against(sorted, found);
                return refused_for(std::move(sorted));
            }
            if (found.questions.empty()) return committed(transaction, std::move(sorted), std::move(found));
            { const auto released = std::move(transaction); }  // lets other programs record while a person thinks
            for (const auto& question : found.questions) {
                if (!options_.ask(question.finding)) {
                    out_ = {};
                    sorted.problems.push_back({sorted.line_of[question.draft], answered_no(question.finding)});
                    return refused_for(std::move(sorted));
                }
                answers_.yes(question.finding);
            }
        }
        return std::nullopt;
    }

    // A refusal that the person cannot accept at the terminal ends the recording before any question.
    static bool must_end(const Judged& found) {
        return std::any_of(found.against.begin(), found.against.end(), [](const Against& a) { return !a.askable; });
    }
    // Lists refusals that no answer can lift first.
    static void take_against(SortedDrafts& sorted, const Judged& found) {
        for (const bool askable : {false, true})
            for (const auto& a : found.against)
                if (a.askable == askable && sorted.judgeable[a.draft])
                    sorted.problems.push_back({sorted.line_of[a.draft], refusal(a.finding)});
    }
    void take_exceptions(const SortedDrafts& sorted, const Judged& found) {
        out_.exceptions.clear();
        for (std::size_t i = 0; i < found.outcomes.size(); ++i)
            for (const auto& f : found.outcomes[i].findings)
                if (sorted.judgeable[i] && (f.severity == Severity::exception || !f.accepted.empty()))
                    out_.exceptions.push_back({sorted.line_of[i], f});
        out_.exception_count = out_.exceptions.size();
    }
    Recorded refused_for(SortedDrafts sorted) {
        out_.problems = std::move(sorted.problems);
        out_.problem_count = out_.problems.size();
        out_.already = std::move(sorted.already);
        out_.already_count = out_.already.size();
        return std::move(out_);
    }
    Recorded committed(Book::Transaction& transaction, SortedDrafts sorted, Judged found) {
        out_.already = std::move(sorted.already);
        out_.already_count = out_.already.size();
        out_.recorded_count = found.drafts.size();
        if (options_.dry_run) return std::move(out_);
        out_.events = transaction.commit(found.drafts, found.outcomes, judge_);
        out_.outcomes = std::move(found.outcomes);
        out_.head = {out_.events.back().event.seq, out_.events.back().digest};
        return std::move(out_);
    }

    const RecordOptions& options_;
    std::optional<Book> copy_;
    Book* book_;
    const Judge judge_;
    Answers answers_;
    Recorded out_;
    const Sort* sort_ = nullptr;
    Problems problems_ = Problems::end_it;
    std::optional<SortedDrafts> early_;
    std::int64_t mark_ = 0;
    std::optional<Hold> hold_;
};

void in_order_of_drafts(Recorded& recorded) {
    std::stable_sort(recorded.problems.begin(), recorded.problems.end(),
                     [](const DraftProblem& a, const DraftProblem& b) { return a.draft < b.draft; });
}

// What the arithmetic of masses refuses is a problem of the whole command.
template <class F>
Recorded or_refused(F&& recording) {
    try {
        return recording();
    } catch (const Refused& refused) {
        Recorded out;
        out.problems.push_back({0, refused.error()});
        out.problem_count = 1;
        return out;
    }
}

}  // namespace

Error Recorded::error() const {
    auto out = problems.front().error;
    constexpr std::size_t most_told = 10;
    for (std::size_t i = 1; i < problems.size() && i <= most_told; ++i)
        out.what += "\n  also: " + problems[i].error.what;
    if (problem_count > most_told + 1) out.what += fmt::format("\n  and {} more", problem_count - most_told - 1);
    return out;
}

Recorded record_made(Book& book, const MakeDrafts& make, const RecordOptions& options) {
    return or_refused([&] {
        Recording recording(book, options);
        return recording.run(
            [&](const Book& now) {
                auto drafts = make();
                if (!drafts) {
                    SortedDrafts out;
                    out.problems.push_back({0, std::move(drafts.error())});
                    return out;
                }
                if (options.anyway)
                    for (auto& draft : *drafts) draft.anyway = options.anyway;
                return sorted_command(now, std::move(*drafts));
            },
            Recording::Problems::end_it);
    });
}

Recorded record(Book& book, std::vector<Event> drafts, const RecordOptions& options) {
    return record_made(
        book, [&]() -> Result<std::vector<Event>> { return drafts; }, options);
}

Recorded record_each(Book& book, std::vector<DraftLine> lines, const RecordOptions& options) {
    for (auto& line : lines)
        if (line.draft && options.anyway) line.draft->anyway = options.anyway;
    Recording recording(book, options);
    const auto sort = [&](const Book& now) { return sorted_lines(now, lines); };
    Recorded out;
    if (options.dry_run) {
        out = recording.run(sort, Recording::Problems::judged_too);
    } else {
        // A long list is sorted before the lock, and again under it only if another program recorded in between.
        book.hold_still();
        auto early = sort(book);
        const auto mark = book.version_mark();
        out = recording.run(sort, Recording::Problems::judged_too, std::move(early), mark);
    }
    in_order_of_drafts(out);
    return out;
}

}  // namespace tarebook
