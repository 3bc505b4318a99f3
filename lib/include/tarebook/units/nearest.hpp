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

/// "did you mean X?" of the nearest of the words; `otherwise` where none is near.
template <class Words>
std::string did_you_mean(std::string_view word, const Words& words, const std::string& otherwise = {}) {
    const auto near = nearest(word, {words.begin(), words.end()});
    return near.empty() ? otherwise : "did you mean " + near + "?";
}

}  // namespace tarebook
