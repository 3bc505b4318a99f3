// Two readers of a body. Bytes as this program writes them are read in one pass; whatever else comes is looked at
// slowly, to say what is wrong with it or to keep a kind of tomorrow.
#pragma once

#include <optional>

#include "tarebook/event.hpp"

namespace tarebook {

/// Empty where the bytes are not those that canonical_body gives for some event.
std::optional<Event> event_from_canonical(std::string_view body);

/// The event of a kind or version that this program does not know, or why the bytes are no event.
Result<Event> event_from_other_bytes(std::string_view body);

}  // namespace tarebook
