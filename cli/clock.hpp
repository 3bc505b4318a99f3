// Whose clock the variable TAREBOOK_NOW sets. The book keeps what the clock said as "recorded", so that in the program
// that is given out it sets that of practice books alone; the tests have a program of their own, in which it sets that
// of every book (tests/clock_of_every_book.cpp).
#pragma once

#include <optional>

#include "tarebook/event/moment.hpp"

namespace tarebook::cli {

enum class ClockOf { practice_books, every_book };
ClockOf clock_may_be_set();

/// What TAREBOOK_NOW says. A slip where it cannot be read.
std::optional<Instant> clock_that_is_set();

}  // namespace tarebook::cli
