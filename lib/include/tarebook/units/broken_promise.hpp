// A precondition that a caller did not keep, or a promise that the library did not: a fault of a program, never of its
// input.
#pragma once

#include <stdexcept>

namespace tarebook {

/// Its what() says what should hold.
class BrokenPromise : public std::logic_error {
 public:
    using std::logic_error::logic_error;
};

}  // namespace tarebook
