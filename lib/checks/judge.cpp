#include <algorithm>
#include <utility>

#include "context.hpp"

namespace tarebook {
namespace {

// The finding that was accepted: of several with the same check and subject, the one with the same text.
Finding* taken_on(std::vector<Finding>& findings, const Accepted& accepted) {
    Finding* best = nullptr;
    for (auto& f : findings) {
        if (f.check != accepted.check || f.subject != accepted.subject || !f.accepted.empty()) continue;
        if (f.text == accepted.text) return &f;
        if (!best) best = &f;
    }
    return best;
}

}  // namespace

Judge::Judge(ReferenceData data, Notes notes)
    : data_(std::move(data)), notes_(notes), memo_(std::make_shared<checks::Memo>()) {}

Outcome Judge::evaluate(const Event& event, const States& before, const Register& reg) const {
    auto outcome = fold_one(event, before, reg);
    if (std::holds_alternative<kinds::Typist>(event.what)) return outcome;  // says who types: nothing to be judged
    outcome.findings = checks::run_all(checks::Context(data_, event, before, outcome, reg, *memo_), notes_);
    if (!event.anyway) return outcome;
    for (const auto& accepted : event.accepted) {
        if (auto* finding = taken_on(outcome.findings, accepted)) {
            finding->accepted = *event.anyway;
            finding->text = accepted.text;
            continue;
        }
        outcome.findings.push_back({.check = accepted.check,
                                    .subject = accepted.subject,
                                    .severity = Severity::exception,
                                    .text = accepted.text,
                                    .seen = {},
                                    .expected = {},
                                    .next = {},
                                    .question = {},
                                    .accepted = *event.anyway});
    }
    return outcome;
}

}  // namespace tarebook
