// A book goes from a file to a PostgreSQL server, or back, with each event held to its digest.
#pragma once

#include "tarebook/book/book.hpp"
#include "tarebook/book/upgrade.hpp"

namespace tarebook {

/// What move_book did.
struct Moved {
    Head head;
    std::int64_t events = 0;
    std::filesystem::path key;  ///< the file that has the signing key now
    bool was_there = false;     ///< an earlier move was cut off behind the copy; this one ended it
};

/// One of the two is an address of a server. The signing key goes along; what was left behind can be read. StorageError
/// if something else is there. Errors: move-where (usage).
Result<Moved> move_book(const std::filesystem::path& from, const std::filesystem::path& to,
                        const WhileWaiting& while_waiting = {}, const WhenOlder& when_older = {});

}  // namespace tarebook
