// A book is recorded in by one program at a time. A program that finds it taken waits for as long as the other one gets
// on with its work, and ten seconds longer where no progress is seen.
//
//     auto book = Book::open("shop.tarebook", Access::write, {}, [](const LockWait& w) { ...; return true; });
#pragma once

#include <chrono>
#include <functional>
#include <optional>
#include <string>

#include "tarebook/event/moment.hpp"

namespace tarebook {

/// The program that has the book. A program on another machine is not seen.
struct LockHolder {
    int process = 0;
    std::string program;  ///< its name and, of this program, its command: "tarebook import"
    Instant running_since{};
    friend bool operator==(const LockHolder&, const LockHolder&) = default;
};

/// How a wait for a book stands.
struct LockWait {
    std::chrono::milliseconds waited{};
    std::chrono::milliseconds nap{};   ///< until the lock is tried again
    std::optional<LockHolder> holder;  ///< known from the first second on
};

/// Sleeps for `nap`; false ends the wait: the book then throws a StorageError, and nothing was written.
using WhileWaiting = std::function<bool(const LockWait&)>;

}  // namespace tarebook
