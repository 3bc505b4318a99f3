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

/// Commits what has recorded no event of its own: a rebuild, or a merge of which all is in quarantine. There is no
/// digest to ask a server for; what it leaves there is a mark that no other one can have left.
void commit_without_event(Book::Impl& book);

/// The row of the table `book` with that mark, on a server.
inline constexpr auto end_mark = "end_mark";

}  // namespace tarebook
