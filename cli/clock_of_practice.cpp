#include "clock.hpp"

namespace tarebook::cli {

ClockOf clock_may_be_set() {
    return ClockOf::practice_books;
}

}  // namespace tarebook::cli
