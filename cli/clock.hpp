// For which books the variable TAREBOOK_NOW sets the clock. A book keeps the clock's time as "recorded", so in the
// program that is given out the variable is for practice books alone; the tests have a program of their own, in which
// it is for every book (tests/clock_of_every_book.cpp).
#pragma once

#include <optional>

#include "tarebook/event/moment.hpp"

namespace tarebook::cli {

enum class ClockOf { practice_books, every_book };
ClockOf clock_may_be_set();

/// The time in TAREBOOK_NOW; empty if it is not set. Throws Stop if it cannot be read.
std::optional<Instant> clock_that_is_set();

}  // namespace tarebook::cli
