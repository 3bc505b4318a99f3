// Assertions that run in every build: a book whose own figures contradict each other is not written. A broken promise
// is a fault of the program, never of its input.
#pragma once

#include <string>

#include "tarebook/units/broken_promise.hpp"

namespace tarebook {

/// Throws BrokenPromise where `holds` is false. `what` states what holds when all is well: "each step is later than the
/// one before it".
inline void must_hold([[maybe_unused]] bool holds, [[maybe_unused]] const char* what) {
#ifndef TAREBOOK_UNWATCHED  // tests/property/planted.py asks whether the tests find a mistake without these assertions
    if (!holds) [[unlikely]]
        throw BrokenPromise(std::string("this does not hold: ") + what);
#endif
}

}  // namespace tarebook
