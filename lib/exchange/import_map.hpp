// A mapping as it was read: from which column of a person's file each of our fields comes.
// schema/import-map.schema.yaml describes every key.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "map_dates.hpp"
#include "map_fields.hpp"
#include "map_units.hpp"

namespace tarebook {

/// ASCII letters in lower case, blanks and line ends as one blank: for comparing names of columns and words.
std::string plain_word(std::string_view text);

struct MappedField {
    const MapField* field = nullptr;
    std::string column;                        ///< as the mapping names it; empty if there is a fixed value
    std::optional<std::string> value;          ///< for every row
    std::map<std::string, std::string> words;  ///< the person's words, as plain_word, and ours
    ColumnUnit unit = ColumnUnit::as_written;
    std::optional<DayPattern> dates;
    std::int64_t line = 0;  ///< in the mapping
};

struct IgnoredColumn {
    std::string name;
    std::int64_t line = 0;
};

/// Rows of a file that are not part of the list: sums, headings.
struct SkippedRows {
    std::string column;
    std::set<std::string> words;  ///< as plain_word: a row with such a cell is skipped
    std::int64_t line = 0;
};

struct ImportMap {
    MapKind kind = MapKind::cylinders;
    std::vector<MappedField> fields;
    std::set<std::string> nothing;  ///< as plain_word: cells that count as empty
    std::vector<IgnoredColumn> ignored;
    std::vector<SkippedRows> skipped;
    std::int64_t header_line = 1;  ///< the line with the names of the columns

    [[nodiscard]] const MappedField* find(std::string_view name) const;
};

/// Problems: sheet-*, map-field-unknown, map-field-missing, map-other-kind, map-source, map-dates, map-unit,
/// map-together.
ImportMap read_import_map(std::string_view text, const std::string& name, MapKind kind, FileProblems& problems);

}  // namespace tarebook
