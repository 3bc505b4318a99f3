#include "clock.hpp"

namespace tarebook::cli {

ClockOf clock_may_be_set() {
    return ClockOf::practice_books;
}

Rulebook rules_to_begin_with() {
    return {};
}

}  // namespace tarebook::cli
