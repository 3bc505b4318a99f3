// In place of cli/clock_of_practice.cpp: the program of the tests, whose books need not be practice books. It also
// takes changed rule packs in the place of its own (TAREBOOK_TEST_PACK), so that tests/reference/every_rule.py can ask
// whether anything hangs on a rule.
#include <cstdlib>

#include "../cli/clock.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook::cli {

ClockOf clock_may_be_set() {
    static const bool taken = [] {
        const char* file = std::getenv("TAREBOOK_TEST_PACK");
        return file && *file && take_rule_pack(file).has_value();
    }();
    static_cast<void>(taken);
    return ClockOf::every_book;
}

}  // namespace tarebook::cli
