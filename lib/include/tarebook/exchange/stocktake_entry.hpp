// What a count found, as drafts for `record`: one cylinder at a time, or the filled-in sheet as a CSV file.
//
//     auto count = stocktake_named(book, {}, false).value();             // the one that is open
//     auto acts = acts_of(book, count, {.cylinder = "RC-01", .gross = w}).value();
//
// A cylinder that the book has elsewhere is moved to the place of the count, one that it has lost is found there, and
// then it is weighed: what was on the scale is here.
#pragma once

#include <filesystem>

#include "tarebook/book/stocktakes.hpp"
#include "tarebook/record/record.hpp"
#include "tarebook/units/file_problem.hpp"

namespace tarebook {

/// What was found of one cylinder.
struct StocktakeFound {
    std::string cylinder;
    std::optional<Weight> gross;
    std::optional<std::string> cap;                    ///< on | off
    std::optional<std::string> label;                  ///< as designated
    std::optional<std::string> pressure, temperature;  ///< both, as typed: 142psig, 75F
    bool missing = false;                              ///< looked for, and not there
    bool not_in_the_book = false;                      ///< it stands there, and has no entry in the register
};

/// The events to record for it, in their order. Errors: unknown-cylinder (refused); flags-together; flag-missing, for
/// neither a weight nor a word, or a pressure without its temperature; those of parse_pressure and parse_temperature.
Result<std::vector<What>> acts_of(const Book& book, const KnownStocktake& count, const StocktakeFound& found);

/// The event that begins a count. Error (refused): place-empty, if the book has no cylinder there.
Result<kinds::StocktakeBegin> stocktake_to_begin(const Book& book, const std::string& place, bool blind);

/// How a sheet is read.
struct StocktakeReadOptions {
    Instant now{};
    std::optional<std::string> by, at, scale;      ///< of rows that do not say their own
    std::function<bool(const Finding&)> ask = {};  ///< as in RecordOptions
};
/// What a sheet recorded.
struct StocktakeRead {
    std::size_t rows = 0;  ///< that said something
    Recorded recorded;
};
/// Records the sheet that `count begin --format csv` prints, filled in: all rows or none, and the same rows again
/// change nothing. Columns that are read: count, cylinder, gross, scale, cap, seen (missing | unknown), label,
/// pressure, temperature, at, note; its other columns are not used. A row without a weight and a word is not counted
/// yet. Problems: those of CSV files (csv-*, header-*, row-*); count-elsewhere, code-*, weight-*, word-unknown,
/// refrigerant-unknown, cell-missing, entry-twice, time-*, and what record_each refuses.
tl::expected<StocktakeRead, FileProblems> read_stocktake(Book& book, const KnownStocktake& count,
                                                         const std::filesystem::path& file,
                                                         const StocktakeReadOptions& options);

}  // namespace tarebook
