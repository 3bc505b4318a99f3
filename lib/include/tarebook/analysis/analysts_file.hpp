// What a book says, as tables for people who ask their own questions: an SQLite file without the signing key, made anew
// or refreshed in place, and the same tables as CSV.
//
//     auto book = Book::open("shop.tarebook", Access::read);
//     book.hold_still();  // where others may record meanwhile
//     auto made = make_analysts_file(book, "shop.sqlite");
//     ... later
//     auto now = update_analysts_file(book, "shop.sqlite");
//
// The file has views, each with its columns in words (view `column_list`, and as comments in the schema): event,
// movement, cylinder_level, addition, loss, loss_equivalent, finding, shipment, settlement, settlement_lot,
// register_value, stock_by_day. The tables under them begin with base_ and may change with the program.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>

#include "tarebook/book/book.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook {

/// What was written for analysts.
struct AnalystsFileWritten {
    std::int64_t events = 0;        ///< that are in it now
    std::int64_t looked_at = 0;     ///< events that were new, or could have changed
    std::int64_t changed_rows = 0;  ///< rows that were added, replaced or taken out
    bool all = false;               ///< each event was looked at
};

/// Makes the file; it takes its name when it is whole. `progress`: the share that is done, 0 to 1. Errors: file-exists
/// (refused), export-not-written (storage).
Result<AnalystsFileWritten> make_analysts_file(const Book& book, const std::filesystem::path& to,
                                               const std::function<void(double)>& progress = {});
/// Brings a file that was made of this book up to date, in one transaction: it then has the rows of one that is made
/// anew. Errors: no-analysts-file (no such file, or not one that this program made), analysts-file-of-another-book
/// (refused); export-not-written (storage).
Result<AnalystsFileWritten> update_analysts_file(const Book& book, const std::filesystem::path& file,
                                                 const std::function<void(double)>& progress = {});
/// The same tables as a folder of CSV files with a data package that has the type and the meaning of each column.
/// Errors: export-folder, export-not-written.
Result<AnalystsFileWritten> export_analysts_tables(const Book& book, const std::filesystem::path& to,
                                                   const std::function<void(double)>& progress = {});

}  // namespace tarebook
