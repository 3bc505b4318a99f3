// `doctor`: looks at a machine and its book, and says what to do; writes nothing.
#pragma once

#include "session.hpp"

namespace tarebook::cli {

void add_doctor(CLI::App& root, Session& session);

}  // namespace tarebook::cli
