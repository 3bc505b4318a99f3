// How long a program waits for a lock on the book: SQLite's busy handler.
#pragma once

#include <sys/types.h>

#include <array>
#include <chrono>
#include <filesystem>
#include <string>

#include "tarebook/book/lock_wait.hpp"

namespace tarebook {

class LockPatience {
 public:
    explicit LockPatience(std::filesystem::path book) : book_(std::move(book)) {}
    void while_waiting(WhileWaiting told) { told_ = std::move(told); }
    /// Whether to try again; `tries` is how often it was tried since the lock was asked for.
    bool again(int tries);
    /// "tarebook import (process 812, running since 14:03:22)"; "another program" where it is not known.
    [[nodiscard]] std::string holder_in_words() const;
    /// The last wait was ended by whoever waited.
    [[nodiscard]] bool was_ended() const { return ended_; }

 private:
    // What moves while the holder works: its processor time, and the sizes and times of the book's files.
    struct Signs {
        std::optional<LockHolder> holder;
        long long processor_ticks = 0;
        std::array<long long, 9> files{};
        friend bool operator==(const Signs&, const Signs&) = default;
    };
    [[nodiscard]] Signs look() const;

    using Clock = std::chrono::steady_clock;
    std::filesystem::path book_;
    WhileWaiting told_;
    Clock::time_point began_, looked_, moved_;
    Signs signs_;
    bool ended_ = false;
};

/// The other process that keeps this one from the book, by the kernel's table of locks (Linux: /proc/locks): the one
/// that writes where there is one, else one that reads.
std::optional<LockHolder> lock_holder(const std::filesystem::path& book);
/// Who of this machine has a lock on the file: with a log whoever has the book open does.
struct OpenBy {
    bool this_program = false, others = false;
};
OpenBy open_by(const std::filesystem::path& book);

}  // namespace tarebook
