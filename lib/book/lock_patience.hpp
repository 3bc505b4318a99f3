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
    [[nodiscard]] const std::filesystem::path& book() const { return book_; }
    void while_waiting(WhileWaiting told) { told_ = std::move(told); }
    /// What shows that the holder of a lock on a server works: as long as it changes, it is waited for.
    void saw(std::string sign) { elsewhere_ = std::move(sign); }
    /// Whether to try again; `tries` counts the attempts since the lock was asked for.
    bool again(int tries);
    /// "tarebook import (process 812, running since 14:03:22)"; "another program" where it is not known.
    [[nodiscard]] std::string holder_in_words() const;
    /// Whether the caller ended the last wait.
    [[nodiscard]] bool was_ended() const { return ended_; }

 private:
    // Signs of progress while the holder works: its processor time, and the sizes and times of the book's files.
    struct Signs {
        std::optional<LockHolder> holder;
        long long processor_ticks = 0;
        std::array<long long, 9> files{};
        std::string elsewhere;
        friend bool operator==(const Signs&, const Signs&) = default;
    };
    [[nodiscard]] Signs signs_now() const;

    using Clock = std::chrono::steady_clock;
    std::filesystem::path book_;
    WhileWaiting told_;
    Clock::time_point began_, looked_, moved_;
    Signs signs_;
    std::string elsewhere_;
    bool ended_ = false;
};

/// The other process that keeps this one from the book, by the kernel's table of locks (Linux: /proc/locks): the one
/// that writes if there is one, else one that reads.
std::optional<LockHolder> lock_holder(const std::filesystem::path& book);
/// Which processes of this machine have a lock on the file. Where there is a log, each process that has the book open
/// has one.
struct OpenBy {
    bool this_program = false, others = false;
};
OpenBy open_by(const std::filesystem::path& book);

}  // namespace tarebook
