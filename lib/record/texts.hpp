// Text that may come into a body: UTF-8, no zero byte, not longer than 10 240 bytes.
#pragma once

#include <optional>

#include "tarebook/event.hpp"

namespace tarebook {

/// Walks every text of an event, whatever its kind. Errors: text-not-utf8, text-too-long,
/// text-formula (a name or code).
std::optional<Error> check_texts(const Event& event);

}  // namespace tarebook
