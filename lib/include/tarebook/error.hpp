// What went wrong, said so that a person can act on it and a program can branch on it.
//
// A user's slip or a bad file is a returned Error; a broken promise inside our own code is an assertion; a storage
// failure is a StorageError, thrown, because nothing between the book and the command line can mend it.
#pragma once

#include <stdexcept>
#include <string>
#include <tl/expected.hpp>
#include <utility>

namespace tarebook {

/// Decides the exit code of the command line: usage 2, refused 1, storage 3.
enum class ErrorKind { usage, refused, storage };

struct Error {
    ErrorKind kind = ErrorKind::usage;
    std::string name;      ///< stable, for programs: "weight-no-unit"
    std::string what;      ///< one sentence: what was refused
    std::string seen;      ///< the value met, as typed; may be empty
    std::string expected;  ///< what would have been taken
    std::string next;      ///< what to do now
};

template <class T>
using Result = tl::expected<T, Error>;

inline tl::unexpected<Error> fail(Error error) {
    return tl::unexpected<Error>(std::move(error));
}

/// A slip in what was typed.
inline tl::unexpected<Error> usage(std::string name, std::string what, std::string seen, std::string expected,
                                   std::string next = {}) {
    return fail(
        {ErrorKind::usage, std::move(name), std::move(what), std::move(seen), std::move(expected), std::move(next)});
}

/// The book's file or the disk failed. `written` says whether anything of the command reached the book.
class StorageError : public std::runtime_error {
 public:
    explicit StorageError(const std::string& what, std::string next = {}, bool written = false)
        : std::runtime_error(what), next_(std::move(next)), written_(written) {}
    [[nodiscard]] const std::string& next() const { return next_; }
    [[nodiscard]] bool written() const { return written_; }

 private:
    std::string next_;
    bool written_;
};

}  // namespace tarebook
