// In place of cli/clock_of_practice.cpp: the program of the tests, whose books need not be practice books.
#include "../cli/clock.hpp"

namespace tarebook::cli {

ClockOf clock_may_be_set() {
    return ClockOf::every_book;
}

}  // namespace tarebook::cli
