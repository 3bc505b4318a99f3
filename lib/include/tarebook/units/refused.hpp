// Input that is refused, where a function returns no Result: `+` of two masses, a page over a book. With StorageError
// and BrokenPromise it is all that leaves the library by a throw, besides std::bad_alloc.
#pragma once

#include <stdexcept>
#include <string>
#include <utility>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// What is thrown instead of a returned Error.
class Refused : public std::runtime_error {
 public:
    /// Its what() is that of the error.
    explicit Refused(Error error) : std::runtime_error(error.what), error_(std::move(error)) {}
    /// What a Result would have had.
    [[nodiscard]] const Error& error() const { return error_; }

 private:
    Error error_;
};

/// Throws Refused with the error `too-large`: each value is one that can be, and together they are more than fits.
[[noreturn]] inline void refuse_too_large(std::string what, std::string expected = "masses that add up to less") {
    throw Refused({ErrorKind::usage, "too-large", std::move(what), {}, std::move(expected), {}});
}

}  // namespace tarebook
