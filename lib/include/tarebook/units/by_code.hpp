// Maps by code that can be asked with a view: no string is made only to look one up.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <unordered_map>

namespace tarebook {

struct CodeHash {
    using is_transparent = void;
    std::size_t operator()(std::string_view code) const { return std::hash<std::string_view>()(code); }
};
template <class T>
using ByCode = std::unordered_map<std::string, T, CodeHash, std::equal_to<>>;

}  // namespace tarebook
