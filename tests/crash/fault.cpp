#include "fault.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdlib>
#include <sstream>
#include <string_view>
#include <utility>

namespace fault {
namespace {

What what_from(std::string_view word) {
    constexpr std::array<std::pair<std::string_view, What>, 11> words{{{"kill", What::kill},
                                                                       {"after", What::after},
                                                                       {"torn", What::torn},
                                                                       {"cut", What::cut},
                                                                       {"error", What::error},
                                                                       {"failed-cut", What::failed_cut},
                                                                       {"errors", What::errors},
                                                                       {"full", What::full},
                                                                       {"nowhere", What::nowhere},
                                                                       {"pause", What::pause},
                                                                       {"short", What::shorts}}};
    for (const auto& [name, what] : words)
        if (name == word) return what;
    return What::none;
}

}  // namespace

Fault& Fault::of_this_process() {
    static auto* const fault = new Fault;  // never destroyed: SQLite may close files after static destructors ran
    return *fault;
}

Fault::Fault() {
    if (const char* text = std::getenv("TAREBOOK_FAULT")) {
        std::istringstream in(text);
        std::string what, at, seed, disk;
        std::getline(in, what, ':');
        std::getline(in, calls_, ':');
        std::getline(in, at, ':');
        std::getline(in, seed, ':');
        std::getline(in, disk, ':');
        what_ = what_from(what);
        at_ = std::strtoull(at.c_str(), nullptr, 10);
        random_.seed(std::strtoull(seed.c_str(), nullptr, 10) * 1'000'003 + at_);
        if (disk == "512") claims_ = {512, false};
        if (disk == "4096") claims_ = {4096, false};
    }
    if (const char* file = std::getenv("TAREBOOK_FAULT_TRACE"))
        trace_ = ::open(file, O_CREAT | O_TRUNC | O_WRONLY | O_CLOEXEC, 0600);
}

bool Fault::due(Call call) {
    const auto letter = static_cast<char>(call);
    bool strikes = false;
    if (calls_.find(letter) != std::string::npos) {
        ++counted_;
        const bool lasts = what_ == What::errors || what_ == What::full || what_ == What::nowhere;
        strikes = what_ != What::none && (lasts ? counted_ >= at_ : counted_ == at_);
    }
    struck_ = struck_ || strikes;
    trace(call, strikes);
    return strikes;
}

void Fault::strike(Call call) {
    struck_ = true;
    trace(call, true);
}

void Fault::trace(Call call, bool strikes) const {
    const std::array<char, 2> told{static_cast<char>(call), '!'};
    if (trace_ >= 0 && ::write(trace_, told.data(), strikes ? 2 : 1) < 0) ::close(trace_);
}

void die() {
    ::kill(::getpid(), SIGKILL);
    for (;;) ::pause();
}

}  // namespace fault
