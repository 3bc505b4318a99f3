// In place of cli/clock_of_practice.cpp: the program of the tests, whose books need not be practice books. It also
// takes changed rule packs in the place of its own (TAREBOOK_TEST_PACK), so that tests/reference/every_rule.py can ask
// whether anything hangs on a rule.
#include <cstdlib>
#include <utility>

#include "../cli/clock.hpp"
#include "tarebook/rules/rulebook.hpp"

namespace tarebook::cli {

ClockOf clock_may_be_set() {
    return ClockOf::every_book;
}

Rulebook rules_to_begin_with() {
    const char* file = std::getenv("TAREBOOK_TEST_PACK");
    if (!file || !*file) return {};
    auto pack = load_rule_pack(file);
    return pack ? Rulebook().with(std::move(*pack)) : Rulebook();
}

}  // namespace tarebook::cli
