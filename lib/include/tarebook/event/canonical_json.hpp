// Whether bytes are one JSON value in the canonical form of RFC 8785, as this project narrows it: keys of ASCII letters
// in ascending order, whole numbers below 2^53, no blank outside a string. One pass, no tree: safe on anything.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace tarebook {

/// Nothing where the bytes are canonical; else one clause for people: what is wrong, and at which byte. Objects and
/// lists deeper than `most_depth` are refused.
std::optional<std::string> not_canonical(std::string_view bytes, int most_depth = 16);

}  // namespace tarebook
