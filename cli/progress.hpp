// The progress of long work: one line that is written over itself, only if stderr is a terminal.
#pragma once

#include <fmt/format.h>
#include <unistd.h>

#include <functional>
#include <string>
#include <utility>

#include "terminal.hpp"

namespace tarebook::cli {

class ProgressLine {
 public:
    /// `work`: "importing".
    explicit ProgressLine(std::string work) : work_(std::move(work)) {}
    /// A function that takes the share that is done; empty if stderr is no terminal. Precondition: the line outlives
    /// it.
    std::function<void(double)> shown() {
        if (isatty(STDERR_FILENO) == 0) return {};
        return [this](double done) {
            const int percent = static_cast<int>(done * 100);
            if (percent == last_) return;
            last_ = percent;
            obeyed_by_terminal(fmt::format("\r{}: {:3} %", work_, percent));
        };
    }
    void clear() {
        if (last_ >= 0) obeyed_by_terminal("\r\x1b[K");
        last_ = -1;
    }

 private:
    std::string work_;
    int last_ = -1;
};

}  // namespace tarebook::cli
