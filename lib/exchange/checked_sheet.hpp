// A sheet's text as a tree: keys are plain text and each there once, values are text, lists and maps, each with its
// line. Everything else that YAML could say is refused with file, line and key.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/units/file_problem.hpp"

namespace tarebook::exchange {

struct SheetKey {
    std::string text;
    std::int64_t line = 0;
};

struct SheetNode {
    enum class Kind { nothing, text, list, map };
    Kind kind = Kind::nothing;
    std::int64_t line = 0;
    std::string text;
    std::vector<SheetKey> keys;    ///< of a map, beside its items
    std::vector<SheetNode> items;  ///< of a list, or the values of a map

    /// Left empty: nothing, or text without a character in it.
    [[nodiscard]] bool empty() const { return kind == Kind::nothing || (kind == Kind::text && text.empty()); }
};

/// Empty where the text is no tree at all; otherwise what could be read of it, and the problems beside.
std::optional<SheetNode> read_sheet_tree(std::string_view text, const std::string& name, FileProblems& problems);

}  // namespace tarebook::exchange
