// What a pattern would cost, seen before it is compiled, and where its groups are.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/units/error.hpp"

namespace tarebook::scale {

inline constexpr std::size_t longest_pattern = 300;
inline constexpr std::size_t most_repeats = 100;  // in {n,m}
inline constexpr std::size_t most_steps = 1000;   // of a pattern whose repeats are written out
inline constexpr std::size_t deepest_group = 10;
inline constexpr std::size_t most_groups = 20;

struct PlainPattern {
    std::string text;                 // for std::regex, which knows no names
    std::vector<std::string> groups;  // the names of the groups, in their order; empty where one has none
};

/// Takes the names out, and refuses what could take long or deep: backward references, looking ahead, many repeats of
/// repeats. Error (usage): scale-pattern.
Result<PlainPattern> plain_pattern(std::string_view pattern);

/// scale-pattern, with what is wrong.
Error bad_pattern(std::string_view pattern, std::string what);

}  // namespace tarebook::scale
