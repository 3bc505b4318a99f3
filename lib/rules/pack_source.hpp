// A rule pack as its file has it: a list of cells, each with its line. Files are read into cells, the build writes
// cells as constant tables, and one builder (pack_build.cpp) turns both into rules, so that both are checked alike.
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook::rules {

/// One value. `section` is "head", "scopes" or "rules"; `id` the entry's; `name` the key inside a map ("R-32"), empty
/// for a plain value or an item of a list.
struct ConstCell {
    std::string_view section, id, key, name, value;
    int line;
};
struct Cell {
    std::string section, id, key, name, value;
    int line = 0;
};
struct CompiledSource {
    std::string_view file;
    const ConstCell* cells;
    std::size_t count;
    const RulePack& (*pack)();  ///< what the cells mean: built at the first call, and kept
};

/// Each complaint is "FILE:LINE: place: why"; `what()` has one line for each.
struct BadPack : std::runtime_error {
    using std::runtime_error::runtime_error;
};

/// Throws BadPack: a syntax error, a duplicate key, a value that is neither text, list of texts nor map of texts.
std::vector<Cell> read_cells(const std::string& file);

/// Throws BadPack with all errors of the cells.
RulePack build_pack(const std::string& file, const std::vector<Cell>& cells, const Catalogue& catalogue);

}  // namespace tarebook::rules
