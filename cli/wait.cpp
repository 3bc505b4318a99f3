#include "wait.hpp"

#include <fmt/format.h>

#include <csignal>
#include <ctime>
#include <iostream>

namespace tarebook::cli {
namespace {

bool interrupted = false;

std::string clock_text(Instant at) {
    const auto seconds = std::chrono::system_clock::to_time_t(at);
    std::tm local{};
    ::localtime_r(&seconds, &local);
    return fmt::format("{:02}:{:02}:{:02}", local.tm_hour, local.tm_min, local.tm_sec);
}

void tell(const LockWait& wait) {
    using std::chrono::seconds;
    static bool told = false;
    static int told_of = 0;
    const int holder = wait.holder ? wait.holder->process : 0;
    if (wait.waited < seconds(1) || (told && (holder == told_of || holder == 0))) return;
    told = true;
    told_of = holder;
    std::cerr << (wait.holder ? fmt::format("waiting for the book: {} (process {}, running since {}) has it",
                                            wait.holder->program.empty() ? "a program" : wait.holder->program, holder,
                                            clock_text(wait.holder->running_since))
                              : std::string("waiting for the book: another program has it"))
              << "; Ctrl-C ends this, and nothing is written\n"
              << std::flush;
}

}  // namespace

// Between naps Ctrl-C ends the program at once, and an open transaction is undone. In a nap this function takes the
// signal, so that the message about it is true.
bool wait_for_book(const LockWait& wait) {
    sigset_t interrupt, before;
    sigemptyset(&interrupt);
    sigaddset(&interrupt, SIGINT);
    sigprocmask(SIG_BLOCK, &interrupt, &before);
    tell(wait);  // a person who reads this may press Ctrl-C at once
    const timespec nap{wait.nap.count() / 1000, wait.nap.count() % 1000 * 1'000'000};
    interrupted = sigtimedwait(&interrupt, nullptr, &nap) == SIGINT;
    sigprocmask(SIG_SETMASK, &before, nullptr);
    return !interrupted;
}

bool wait_was_interrupted() {
    return interrupted;
}

}  // namespace tarebook::cli
