// "Did you mean": the nearest of the words that would have been taken.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace tarebook {

/// Levenshtein's distance: the fewest bytes to add, drop or replace that make `b` of `a`.
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The candidate with the fewest edits, where those are at most a third of its length, rounded up; else empty. Of two
/// that are as near, the first. Case does not count.
std::string nearest(std::string_view word, const std::vector<std::string>& candidates);

}  // namespace tarebook
