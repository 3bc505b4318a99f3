// What the code promises itself, looked at in every build: a look costs little beside what it watches, and a book whose
// own figures contradict each other is not written. A broken promise is a fault of the program, never of its input.
#pragma once

#include <stdexcept>
#include <string>

namespace tarebook {

class BrokenPromise : public std::logic_error {
 public:
    using std::logic_error::logic_error;
};

/// `what` says what holds where all is well: "each step is later than the one before it". Throws BrokenPromise.
inline void must_hold([[maybe_unused]] bool holds, [[maybe_unused]] const char* what) {
#ifndef TAREBOOK_UNWATCHED  // tests/property/planted.py: would the tests find it without these looks?
    if (!holds) [[unlikely]]
        throw BrokenPromise(std::string("this does not hold: ") + what);
#endif
}

}  // namespace tarebook
