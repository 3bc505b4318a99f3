// The end of a transaction, at which the disk may still fail.
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "impl.hpp"

namespace tarebook {

struct Committing {
    std::string taken;                             ///< where the book has it: "up to E12"
    std::string next;                              ///< the advice for that case
    std::function<std::optional<bool>()> is_done;  ///< asks the book; empty where it does not answer
};
/// Asks again and again, for some seconds, until there is an answer. A server that died starts again, or its standby
/// takes over.
std::optional<bool> asked_for_a_while(const std::function<std::optional<bool>()>& question);
/// Commits. A COMMIT that fails may have been done nevertheless: then this asks the book, and the StorageError states
/// which.
void commit_or_ask(Book::Impl& book, const Committing& committing);

}  // namespace tarebook
