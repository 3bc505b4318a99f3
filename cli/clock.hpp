// For which books the variable TAREBOOK_NOW sets the clock. A book keeps the clock's time as "recorded", so in the
// program that is given out the variable is for practice books alone; the tests have a program of their own, in which
// it is for every book (tests/clock_of_every_book.cpp).
#pragma once

#include <optional>

#include "tarebook/event/moment.hpp"
#include "tarebook/rules/rulebook.hpp"

namespace tarebook::cli {

enum class ClockOf { practice_books, every_book };
ClockOf clock_may_be_set();

/// The compiled packs; in the program of the tests with the one that TAREBOOK_TEST_PACK puts in its place.
Rulebook rules_to_begin_with();

/// The time in TAREBOOK_NOW; empty if it is not set. Throws Stop if it cannot be read.
std::optional<Instant> clock_that_is_set();

}  // namespace tarebook::cli
