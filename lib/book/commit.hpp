// The end of a transaction, where the disk may fail last.
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "impl.hpp"

namespace tarebook {

struct Committing {
    std::string taken;                             ///< where the book has it: "up to E12"
    std::string next;                              ///< what to do then
    std::function<std::optional<bool>()> is_done;  ///< asks the book; nothing where it does not answer
};
/// A COMMIT that fails may have been done all the same: then the book is asked, and the StorageError says which.
void commit_or_ask(Book::Impl& book, const Committing& committing);

}  // namespace tarebook
