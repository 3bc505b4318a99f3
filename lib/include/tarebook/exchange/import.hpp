// A shop's old records, as CSV, into the book.
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <set>
#include <string>

#include "tarebook/book/book.hpp"
#include "tarebook/units/file_problem.hpp"

namespace tarebook {

/// The files of an import.
struct ImportFiles {
    std::filesystem::path movements;
    std::optional<std::filesystem::path> cylinders, circuits;
};

/// How they are imported.
struct ImportOptions {
    bool add_to_register = false;       ///< sites, appliances, circuits, cylinders and technicians not yet on record
    std::string owner;                  ///< of the sites that are added
    std::optional<std::string> anyway;  ///< the reason why what would be refused is recorded
    Instant now{};
    std::function<void(double)> progress = {};  ///< 0 to 1
};

/// What was recorded.
struct ImportReport {
    std::size_t rows = 0;
    std::size_t recorded = 0;
    std::size_t already = 0;  ///< rows that were in the book before
    std::size_t entries = 0;  ///< added to the register
    std::size_t exceptions = 0;
    std::set<int> years;  ///< of what is new, by its local days
    Head head;
};

/// Records all rows or none; the same rows again change nothing. Problems: of the file (file-missing, file-unreadable,
/// csv-*, header-*), of its cells (kind-unknown, date-format, time-*, code-*, refrigerant-*, weight-*, row-*), and
/// those of record(): a code that is not on record, or the name of the check that refused. Throws StorageError as the
/// book does.
tl::expected<ImportReport, FileProblems> import_movements(Book& book, const ImportFiles& files,
                                                          const ImportOptions& options);

}  // namespace tarebook
