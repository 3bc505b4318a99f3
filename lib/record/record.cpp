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
        if (auto* v = std::get_if<kinds::Void>(&draft.what))
            if (const auto target = book.event_named(v->target)) v->target = hex(target->digest);
        if (draft.own_id) {
            auto there = already_there(book, draft);
            if (!there) return fail(there.error());
            if (*there) return Recorded{{**there}, {{}}, true};
        }
        if (auto error = references.check(draft)) return fail(*error);
    }
    const Judge judge;
    Confirmed confirmed;
    for (;;) {
        auto transaction = book.begin();
        auto attempt = drafts;
        auto outcomes = transaction.judge(attempt, judge);
        std::vector<Finding> against;
        std::vector<Finding> questions;
        for (std::size_t i = 0; i < attempt.size(); ++i) {
            for (auto& f : outcomes[i].findings) {
                if (f.severity == Severity::note || !f.accepted.empty()) continue;
                const bool said_yes = confirmed.contains({f.check, f.subject});
                if (!f.question.empty() && options.ask && !said_yes && !options.anyway) questions.push_back(f);
                if (f.severity == Severity::refusal && !options.anyway && !said_yes) against.push_back(f);
                if (options.anyway || said_yes) {
                    attempt[i].accepted.push_back({f.check, f.subject, f.text});
                    f.accepted = options.anyway.value_or("confirmed at the terminal");
                    attempt[i].anyway = f.accepted;
                }
            }
        }
        // what cannot be answered with yes at the terminal is refused before anything is asked
        const auto hard = std::find_if(against.begin(), against.end(),
                                       [&](const Finding& f) { return f.question.empty() || !options.ask; });
        if (hard != against.end()) {
            Error error = refused(hard->check, hard->text, hard->seen, hard->expected, hard->next);
            for (const auto& f : against)
                if (&f != &*hard) error.what += "\n  also: " + f.text;
            return fail(std::move(error));
        }
        if (questions.empty()) {
            auto stored = transaction.commit(attempt, outcomes);
            return Recorded{std::move(stored), std::move(outcomes), false};
        }
        { const auto released = std::move(transaction); }  // nobody else waits while a person thinks
        for (const auto& f : questions) {
            if (!options.ask(f))
                return fail(refused("answered-no", "not recorded, as you answered", f.text,
                                    "yes, or a corrected reading", "weigh again, then record what the scale says"));
            confirmed.insert({f.check, f.subject});
        }
    }
}

}  // namespace tarebook
