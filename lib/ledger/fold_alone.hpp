// The fold without the checks, for the first event of a book and for tests of the fold.
#pragma once

#include "tarebook/ledger/ledger.hpp"

namespace tarebook {

class FoldAlone : public Evaluator {
 public:
    Outcome evaluate(const Event& event, const States& before, const Register& reg) const override {
        return fold_one(event, before, reg);
    }
};

}  // namespace tarebook
