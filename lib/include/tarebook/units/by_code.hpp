// Codes as keys: maps that can be asked with a view, so that no string is made only to look one up, and the order in
// which a person lists them.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <unordered_map>

namespace tarebook {

/// A hash that is the same for a string and for a view of it.
struct CodeHash {
    /// Tells the map that a view may be looked up (std::unordered_map).
    using is_transparent = void;
    /// The hash of the code's bytes.
    std::size_t operator()(std::string_view code) const { return std::hash<std::string_view>()(code); }
};
/// A map whose keys are codes; find() takes a view.
template <class T>
using ByCode = std::unordered_map<std::string, T, CodeHash, std::equal_to<>>;

/// The order of lists for people: numbers inside a code by their value, so that RACK-A/2 comes before RACK-A/10.
struct CodeOrder {
    /// Tells std::map that a view may be looked up.
    using is_transparent = void;
    /// Whether `a` comes before `b`. Codes that differ in leading zeros alone are ordered by their bytes.
    bool operator()(std::string_view a, std::string_view b) const;
};

}  // namespace tarebook
