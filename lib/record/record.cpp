#include "tarebook/record.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "references.hpp"
#include "tarebook/checks.hpp"
#include "texts.hpp"

namespace tarebook {
namespace {

using Confirmed = std::set<std::pair<std::string, std::string>>;

struct Against {
    std::size_t draft = 0;
    Finding finding;
    bool askable = false;  // could be answered with yes, and there is somebody to ask
};

// How far drafts came: into the book, or to what speaks against them.
struct Settled {
    std::vector<StoredEvent> stored;
    std::vector<Outcome> outcomes;
    std::vector<Against> against;    // at least one of them is not askable
    std::optional<Finding> said_no;  // and of which draft
    std::size_t said_no_draft = 0;
};

// The drafts as they would be recorded, with what is taken on; what speaks against them; what is to be asked.
struct Judged {
    std::vector<Event> drafts;
    std::vector<Outcome> outcomes;
    std::vector<Against> against, questions;
};

Judged judged(Book::Transaction& transaction, const std::vector<Event>& drafts, const Confirmed& confirmed,
              bool can_ask) {
    const Judge judge;
    Judged out{drafts, {}, {}, {}};
    out.outcomes = transaction.judge(out.drafts, judge);
    for (std::size_t i = 0; i < drafts.size(); ++i) {
        auto& draft = out.drafts[i];
        const auto reason = drafts[i].anyway;
        for (auto& f : out.outcomes[i].findings) {
            if (f.severity == Severity::note || !f.accepted.empty()) continue;
            const bool said_yes = confirmed.contains({f.check, f.subject});
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

Settled settle(Book& book, const std::vector<Event>& drafts, const std::function<bool(const Finding&)>& ask) {
    Confirmed confirmed;
    for (;;) {
        auto transaction = book.begin();
        auto look = judged(transaction, drafts, confirmed, ask != nullptr);
        // what cannot be answered with yes at the terminal is refused before anything is asked
        if (std::any_of(look.against.begin(), look.against.end(), [](const Against& a) { return !a.askable; }))
            return {{}, {}, std::move(look.against), {}, 0};
        if (look.questions.empty()) {
            auto stored = transaction.commit(look.drafts, look.outcomes, Judge());
            return {std::move(stored), std::move(look.outcomes), {}, {}, 0};
        }
        { const auto released = std::move(transaction); }  // nobody else waits while a person thinks
        for (const auto& question : look.questions) {
            const auto& f = question.finding;
            if (!ask(f)) return {{}, {}, {}, f, question.draft};
            confirmed.insert({f.check, f.subject});
        }
    }
}

Error answered_no(const Finding& f) {
    return refused("answered-no", "not recorded, as you answered", f.text, "yes, or a corrected reading",
                   "weigh again, then record what the scale says");
}
Error refusal(const Finding& f) {
    return refused(f.check, f.text, f.seen, f.expected, f.next);
}

// A void or a statement names its target by whatever a person may type; in the book it is the digest.
void name_target_by_digest(const Book& book, Event& draft) {
    if (auto* v = std::get_if<kinds::Void>(&draft.what))
        if (const auto target = book.event_named(v->target)) v->target = hex(target->digest);
    if (auto* k = std::get_if<kinds::Settle>(&draft.what))
        if (const auto target = book.event_named(k->target)) {
            k->target = hex(target->digest);
            if (const auto* sent = std::get_if<kinds::Return>(&target->event.what)) k->cylinder = sent->cylinder;
        }
}

// What was found line by line, before the checks.
struct Looked {
    std::vector<LineProblem> problems;
    std::vector<StoredEvent> already;
    std::vector<Event> fresh;
    std::vector<std::size_t> line_of;  // of each fresh draft
    std::vector<bool> judgeable;       // no line before left it open what its cylinders hold
    bool all_read = true;
};

Looked look_at(const Book& book, const std::vector<DraftLine>& lines) {
    Looked out;
    References references(book);
    std::set<std::string, std::less<>> open;
    bool all_open = false;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const auto& line = lines[i];
        if (!line.draft) {
            out.all_read = false;
            open.insert(line.cylinders.begin(), line.cylinders.end());
            all_open = all_open || line.any_cylinder;
            continue;
        }
        auto draft = *line.draft;
        const auto cylinders = cylinders_of(draft);
        auto error = check_texts(draft);
        if (!error) {
            name_target_by_digest(book, draft);
            auto there = draft.own_id ? already_there(book, draft) : std::optional<StoredEvent>();
            if (there && *there) {
                out.already.push_back(std::move(**there));
                continue;
            }
            error = there ? references.check(draft) : std::optional(std::move(there.error()));
        }
        if (error) {
            out.problems.push_back({i, std::move(*error)});
            open.insert(cylinders.begin(), cylinders.end());
            continue;
        }
        const bool touched = all_open || std::any_of(cylinders.begin(), cylinders.end(),
                                                     [&](const std::string& c) { return open.contains(c); });
        // what flows out of a cylinder that nobody knows is not known either
        if (touched) open.insert(cylinders.begin(), cylinders.end());
        out.fresh.push_back(std::move(draft));
        out.line_of.push_back(i);
        out.judgeable.push_back(!touched);
    }
    return out;
}

std::vector<LineException> judge(Book& book, Looked& looked) {
    auto transaction = book.begin();
    const auto look = judged(transaction, looked.fresh, {}, false);
    for (const auto& a : look.against)
        if (looked.judgeable[a.draft]) looked.problems.push_back({looked.line_of[a.draft], refusal(a.finding)});
    std::vector<LineException> exceptions;
    for (std::size_t i = 0; i < look.outcomes.size(); ++i)
        for (const auto& f : look.outcomes[i].findings)
            if (looked.judgeable[i] && (f.severity == Severity::exception || !f.accepted.empty()))
                exceptions.push_back({looked.line_of[i], f});
    std::stable_sort(looked.problems.begin(), looked.problems.end(),
                     [](const LineProblem& a, const LineProblem& b) { return a.draft < b.draft; });
    return exceptions;
}

}  // namespace

bool Recorded::has_exceptions() const {
    return std::any_of(outcomes.begin(), outcomes.end(), [](const Outcome& o) {
        return std::any_of(o.findings.begin(), o.findings.end(),
                           [](const Finding& f) { return f.severity != Severity::note; });
    });
}

Result<Recorded> record(Book& book, std::vector<Event> drafts, const RecordOptions& options) {
    References references(book);
    for (std::size_t i = 0; i < drafts.size(); ++i) {
        auto& draft = drafts[i];
        if (options.anyway) draft.anyway = options.anyway;
        if (auto error = check_texts(draft)) return fail(*error);
        // one id for what was said, one for each event that it became
        if (i > 0 && draft.own_id && draft.own_id == drafts[0].own_id) *draft.own_id += fmt::format("#{}", i + 1);
        name_target_by_digest(book, draft);
        if (draft.own_id) {
            auto there = already_there(book, draft);
            if (!there) return fail(there.error());
            if (*there) return Recorded{{**there}, {{}}, true};
        }
        if (auto error = references.check(draft)) return fail(*error);
    }
    auto settled = settle(book, drafts, options.ask);
    if (settled.said_no) return fail(answered_no(*settled.said_no));
    if (!settled.against.empty()) {
        const auto hard =
            std::find_if(settled.against.begin(), settled.against.end(), [](const Against& a) { return !a.askable; });
        auto error = refusal(hard->finding);
        for (const auto& a : settled.against)
            if (&a != &*hard) error.what += "\n  also: " + a.finding.text;
        return fail(std::move(error));
    }
    return Recorded{std::move(settled.stored), std::move(settled.outcomes), false};
}

tl::expected<RecordedEach, std::vector<LineProblem>> record_each(Book& book, std::vector<DraftLine> lines,
                                                                 const RecordOptions& options) {
    for (auto& line : lines)
        if (line.draft && options.anyway) line.draft->anyway = options.anyway;
    auto looked = look_at(book, lines);
    if (!looked.problems.empty() || !looked.all_read) {
        judge(book, looked);
        return tl::unexpected(std::move(looked.problems));
    }
    if (looked.fresh.empty()) return RecordedEach{{{}, {}, true}, std::move(looked.already)};
    auto settled = settle(book, looked.fresh, options.ask);
    if (settled.said_no)
        looked.problems.push_back({looked.line_of[settled.said_no_draft], answered_no(*settled.said_no)});
    for (const auto& a : settled.against) looked.problems.push_back({looked.line_of[a.draft], refusal(a.finding)});
    if (!looked.problems.empty()) return tl::unexpected(std::move(looked.problems));
    return RecordedEach{{std::move(settled.stored), std::move(settled.outcomes), false}, std::move(looked.already)};
}

LookedAtEach look_at_each(Book& book, const std::vector<DraftLine>& lines) {
    auto looked = look_at(book, lines);
    auto exceptions = judge(book, looked);
    return {std::move(looked.problems), std::move(exceptions)};
}

}  // namespace tarebook
