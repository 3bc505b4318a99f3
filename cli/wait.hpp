// Waiting for a book that another program has: a message names that program, and Ctrl-C ends the wait with nothing
// written.
#pragma once

#include "tarebook/book/lock_wait.hpp"

namespace tarebook::cli {

/// For Book::open: waits a while, shows each holder once after the first second, and stops at Ctrl-C.
bool wait_for_book(const LockWait& wait);
/// Whether Ctrl-C ended a wait: the program then ends as by that signal.
bool wait_was_interrupted();

}  // namespace tarebook::cli
