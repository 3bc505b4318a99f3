// A person's own spreadsheet or list, as CSV, into the book: a mapping (YAML, schema/import-map.schema.yaml) says which
// of its columns is which of our fields, in what units and form, and what their words mean in ours. Nothing is guessed:
// what the file does not say stays "not on record".
//
//     auto done = import_mapped(book, MapKind::cylinders, "list.csv", "list.map.yaml", {.dry_run = true, .now = now});
//     for (const auto& p : done.problems.listed) ...   // every one of them, with line and column
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/units/file_problem.hpp"

namespace tarebook {

/// What a list is of. `work`: pressure tests, oil, filter-driers, identifiers, compressors.
enum class MapKind { cylinders, sites, movements, work };
/// The word of the mapping: "cylinders".
std::string_view text_of(MapKind kind);
/// The kind of such a word; nothing for any other text.
std::optional<MapKind> map_kind_from(std::string_view word);

/// How a list is imported.
struct MappedOptions {
    bool dry_run = false;               ///< nothing is written, and the report is the same
    std::optional<std::string> anyway;  ///< the reason why what would be refused is recorded
    Instant now{};
};

/// A row, for people.
struct MappedLine {
    std::int64_t line = 0;  ///< in the file, from 1
    std::string words;      ///< what the row becomes: "cylinder RC-11: tare 27.4lb, use recovery"
};

/// What became of a list.
struct MappedImport {
    FileProblems problems;                           ///< where there is any, nothing was written
    std::size_t skipped = 0;                         ///< rows that the mapping leaves out: sums, headings
    std::size_t rows = 0;                            ///< with something in them
    std::map<std::string, std::size_t> new_by_kind;  ///< what is new: site, cylinder, opening, recover ...
    std::map<std::string, std::size_t> not_said;  ///< entries that are new, by a field that they lack and that matters
    std::size_t already = 0;                      ///< entries and events that were in the book before
    std::vector<MappedLine> first;                ///< the first few of what is new
    std::size_t exceptions = 0;                   ///< that were found, or in a dry run would be
    std::vector<MappedLine> first_exceptions;     ///< of a dry run, the first few in words
    std::set<int> years;                          ///< of what is new, by its local days
    std::vector<std::string> cylinders;           ///< whose contents may have changed: see over_the_limit()
    Head head;
};

/// Imports all of it or nothing. Where `map` is empty, the columns of the file have the names of our fields (problems:
/// header-unknown, header-missing). The same file again changes nothing. Problems: of the two files (file-missing,
/// file-not-regular, file-unreadable, sheet-*, map-*, csv-*, header-twice, row-*), of single cells (cell-missing,
/// cell-not-empty, code-format, kind-unknown, date-format, time-*, and those of parse_field), entry-twice,
/// entry-differs, rows-differ, opening-late, and those of record_each(). Throws StorageError as the book does.
MappedImport import_mapped(Book& book, MapKind kind, const std::filesystem::path& file,
                           const std::filesystem::path& map, const MappedOptions& options);

/// A mapping to start from: the file's columns filled in where names are alike, the rest as remarks. Errors:
/// file-missing, file-not-regular, file-unreadable, map-no-column, csv-*, header-twice.
Result<std::string> blank_map(MapKind kind, const std::filesystem::path& file);

}  // namespace tarebook
