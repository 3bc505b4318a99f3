// What can be wrong with an event. Each check is a small pure function with a name; it looks at the event, at what the
// fold made of it and at the register, and changes nothing. A refusal stops a recording unless the person says with
// --anyway that it happened; an exception is recorded and listed; a note is one quiet line: "not on record".
//
//     Judge judge;                                            // what the book evaluates events with
//     auto outcome = judge.evaluate(event, before, reg);      // outcome.findings: refusals, then exceptions, then
//     notes
//
// The checks inform. That none of them speaks says only that nothing on record speaks against the act.
#pragma once

#include <memory>
#include <span>
#include <string_view>
#include <vector>

#include "tarebook/ledger/ledger.hpp"

namespace tarebook {

namespace checks {
class Memo;
}

/// A book keeps no notes: whoever judges a long history may leave them out.
enum class Notes { wanted, left_out };

struct CheckInfo {
    std::string_view name;
    std::string_view sentence;  ///< what it looks for
};
/// Every check, in the order in which their findings are listed.
std::span<const CheckInfo> all_checks();

/// The fold and the checks. What the person took on with --anyway keeps the text and figures it had then, also where it
/// would no longer be found today: it was taken on, and stays listed until an event resolves it.
class Judge final : public Evaluator {
 public:
    explicit Judge(Notes notes = Notes::wanted);
    Outcome evaluate(const Event& event, const States& before, const Register& reg) const override;

 private:
    Notes notes_;
    std::shared_ptr<checks::Memo> memo_;  // what the same question was answered before; not for several threads
};

}  // namespace tarebook
