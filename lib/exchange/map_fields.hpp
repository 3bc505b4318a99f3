// Our own fields that a mapping can name, for each kind of file.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/exchange/mapped_import.hpp"
#include "tarebook/ledger/register.hpp"

namespace tarebook {

/// How a cell of the field is read.
enum class CellForm { code, entry_field, several_lines, day, time_of_day };

/// What a list of work tells of: acts of a job sheet that move no gas.
inline constexpr std::string_view work_kinds = "pressure-test|oil|filter-drier|identify|compressor";

struct MapField {
    std::string name;  ///< in the mapping
    CellForm form = CellForm::entry_field;
    FieldRule rule{};             ///< for entry_field, several_lines
    std::optional<EntryKind> of;  ///< the entry that has the field
    bool needed = false;          ///< the mapping must say where it comes from
    std::string_view alike = {};  ///< usual names of such a column, separated by |, for a blank mapping
    bool matters = false;         ///< reported as missing if an entry lacks it
};

const std::vector<MapField>& map_fields(MapKind kind);
/// Null if there is no such field.
const MapField* map_field(MapKind kind, std::string_view name);

}  // namespace tarebook
