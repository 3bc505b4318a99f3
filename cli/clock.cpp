#include "clock.hpp"

#include <cstdlib>

#include "session.hpp"

namespace tarebook::cli {

std::optional<Instant> clock_that_is_set() {
    const char* set = std::getenv("TAREBOOK_NOW");
    if (!set || !*set) return std::nullopt;
    if (const auto at = instant_from_text(set)) return at;
    throw slip("clock-format", "TAREBOOK_NOW sets the clock of a practice book, and cannot be read", set,
               "an instant such as 2026-06-01T15:00:00Z", "unset TAREBOOK_NOW");
}

}  // namespace tarebook::cli
