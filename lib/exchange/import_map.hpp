// A mapping as it was read: where each of our fields comes from in a person's file. schema/import-map.schema.yaml
// describes every key.
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

/// Letters of ASCII in lower case, blanks and line ends as one blank: how names of columns and words are compared.
std::string plain_word(std::string_view text);

struct MappedField {
    const MapField* field = nullptr;
    std::string column;                        ///< as the mapping names it; empty where a fixed value stands
    std::optional<std::string> value;          ///< of every row
    std::map<std::string, std::string> words;  ///< theirs, as plain_word, to ours
    ColumnUnit unit = ColumnUnit::as_written;
    std::optional<DayPattern> dates;
    std::int64_t line = 0;  ///< in the mapping
};

struct IgnoredColumn {
    std::string name;
    std::int64_t line = 0;
};

/// Rows that are no rows of the list: sums, headings.
struct SkippedRows {
    std::string column;
    std::set<std::string> words;  ///< as plain_word: a row whose cell is one of them
    std::int64_t line = 0;
};

struct ImportMap {
    MapKind kind = MapKind::cylinders;
    std::vector<MappedField> fields;
    std::set<std::string> nothing;  ///< as plain_word: cells that say nothing
    std::vector<IgnoredColumn> ignored;
    std::vector<SkippedRows> skipped;
    std::int64_t header_line = 1;  ///< where the names of the columns stand

    [[nodiscard]] const MappedField* find(std::string_view name) const;
};

/// Problems: sheet-*, map-field-unknown, map-field-missing, map-other-kind, map-source, map-dates, map-unit,
/// map-together.
ImportMap read_import_map(std::string_view text, const std::string& name, MapKind kind, FileProblems& problems);

}  // namespace tarebook
