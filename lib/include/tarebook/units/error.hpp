// What went wrong, said so that a person can act on it and a program can branch on it.
//
// Refused input is an Error, returned, or thrown as Refused (refused.hpp) where there is no Result. A disk or a book's
// file that failed is a StorageError, thrown, as nothing between the book and the caller can mend it.
#pragma once

#include <stdexcept>
#include <string>
#include <tl/expected.hpp>
#include <utility>

namespace tarebook {

/// Decides the exit code of the command line: usage 2, refused 1, storage 3.
enum class ErrorKind { usage, refused, storage };

/// A refusal that a person can act on and a program can tell from others.
struct Error {
    ErrorKind kind = ErrorKind::usage;
    std::string name;      ///< stable, for programs: "weight-no-unit"
    std::string what;      ///< one sentence: what was refused
    std::string seen;      ///< the value met, as typed; may be empty
    std::string expected;  ///< what would have been taken
    std::string next;      ///< what to do now
};

/// A value, or the Error that stands in its place.
template <class T>
using Result = tl::expected<T, Error>;

/// An Error in the form in which a function that returns a Result returns it.
inline tl::unexpected<Error> fail(Error error) {
    return tl::unexpected<Error>(std::move(error));
}

/// As `fail`, for a slip in what was typed (ErrorKind::usage).
inline tl::unexpected<Error> usage(std::string name, std::string what, std::string seen, std::string expected,
                                   std::string next = {}) {
    return fail(
        {ErrorKind::usage, std::move(name), std::move(what), std::move(seen), std::move(expected), std::move(next)});
}

/// Whether a command that failed has changed the book: `unknown` where a COMMIT failed and the file could not be asked.
enum class Written { no, yes, unknown };

/// The book's file or the disk failed.
class StorageError : public std::runtime_error {
 public:
    /// `what`: one sentence. `next`: what to do now. `disk`: the disk did not answer, or another program holds the
    /// file, which says nothing of the book's own state.
    explicit StorageError(const std::string& what, std::string next = {}, Written written = Written::no,
                          bool disk = false)
        : std::runtime_error(what), next_(std::move(next)), written_(written), disk_(disk) {}
    /// What the person can do now; may be empty.
    [[nodiscard]] const std::string& next() const { return next_; }
    /// Whether the book was changed.
    [[nodiscard]] Written written() const { return written_; }
    /// Whether the disk failed or the file is held, and not the book.
    [[nodiscard]] bool disk() const { return disk_; }

 private:
    std::string next_;
    Written written_;
    bool disk_;
};

}  // namespace tarebook
