// What can be wrong with an event. Each check is a small pure function with a name; it looks at the event, at what the
// fold made of it and at the register, and changes nothing. A refusal stops a recording unless the person says with
// --anyway that it happened; an exception is recorded and listed; a note is one quiet line: "not on record".
//
//     Judge judge(book.reference_data());                  // what the book evaluates events with
//     auto outcome = judge.evaluate(event, before, reg);
//     outcome.findings;                                    // refusals, then exceptions, then notes
//
// The checks inform. That none of them speaks says only that nothing on record speaks against the act.
#pragma once

#include <memory>
#include <span>
#include <string_view>
#include <vector>

#include "tarebook/ledger/ledger.hpp"
#include "tarebook/rules/reference_data.hpp"

namespace tarebook {

namespace checks {
class Memo;
}

/// Whether notes are made: no book keeps them, so that the judge of a long history may leave them out.
enum class Notes { wanted, left_out };

/// What may come of what a check finds, the worst first: a cylinder bursts, gas burns, a cylinder or its gas is not
/// fit, gases are mixed.
enum class Danger { over, flammable, unfit, mixed, none };

/// A check, for people.
struct CheckInfo {
    std::string_view name;
    std::string_view sentence;  ///< what it looks for
    Danger danger;
};
/// Every check, in the order in which their findings are listed.
std::span<const CheckInfo> all_checks();
/// The danger of the check with that name; none for one that is not known here.
Danger danger_of(std::string_view check);

/// The fold and the checks. A finding that the person took on with --anyway keeps its text and figures, also where it
/// would no longer be found: it stays listed until an event resolves it. Not for several threads.
class Judge final : public Evaluator {
 public:
    /// By the refrigerants and rule packs of `data`; with notes, or without.
    explicit Judge(ReferenceData data, Notes notes = Notes::wanted);
    /// What the event does, with its findings. Preconditions as for fold_one.
    Outcome evaluate(const Event& event, const States& before, const Register& reg) const override;

 private:
    ReferenceData data_;
    Notes notes_;
    std::shared_ptr<checks::Memo> memo_;  // what the same question was answered before; not for several threads
};

}  // namespace tarebook
