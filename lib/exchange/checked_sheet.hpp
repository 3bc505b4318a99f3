// A sheet's text as a tree: keys are plain text, each once in its map; values are text, lists and maps, each with its
// line. All other YAML is refused with file, line and key.
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
    std::vector<SheetKey> keys;    ///< of a map, in the order of its items
    std::vector<SheetNode> items;  ///< of a list, or the values of a map

    /// Nothing, or text without a character.
    [[nodiscard]] bool empty() const { return kind == Kind::nothing || (kind == Kind::text && text.empty()); }
};

/// Empty if the text is no tree at all; otherwise what could be read, with the problems in `problems`.
std::optional<SheetNode> read_sheet_tree(std::string_view text, const std::string& name, FileProblems& problems);

}  // namespace tarebook::exchange
