// What a count found, as drafts for `record`: one cylinder at a time, or the filled-in sheet as a CSV file.
//
//     auto count = stocktake_named(book, {}, false).value();             // the one that is open
//     auto acts = acts_of(book, count, {.cylinder = "RC-01", .gross = w}).value();
//
// A cylinder that the book has elsewhere is moved to the place of the count, one that it has lost is found there, and
// then it is weighed: what stands on the scale is here.
#pragma once

#include <filesystem>

#include "tarebook/book/stocktakes.hpp"
#include "tarebook/record/record.hpp"
#include "tarebook/units/file_problem.hpp"

namespace tarebook {

struct StocktakeFound {
    std::string cylinder;
    std::optional<Weight> gross;
    std::optional<std::string> cap;                    ///< on | off
    std::optional<std::string> label;                  ///< as designated
    std::optional<std::string> pressure, temperature;  ///< both, as typed: 142psig, 75F
    bool missing = false;                              ///< looked for, and not there
    bool not_in_the_book = false;
};

/// Errors: unknown-cylinder (refused); flags-together; flag-missing where there is neither a weight nor a word, or
/// a pressure without its temperature; those of parse_pressure and parse_temperature.
Result<std::vector<What>> acts_of(const Book& book, const KnownStocktake& count, const StocktakeFound& found);

/// Error (refused): place-empty, where the book has no cylinder there.
Result<kinds::StocktakeBegin> stocktake_to_begin(const Book& book, const std::string& place, bool blind);

struct StocktakeReadOptions {
    Instant now{};
    std::optional<std::string> by, at, scale;  ///< of rows that do not say their own
    std::function<bool(const Finding&)> ask = {};
};
struct StocktakeRead {
    std::size_t rows = 0;  ///< that said something
    Recorded recorded;
};
/// The sheet as `count begin --format csv` prints it, filled in: all rows or none, and the same rows again change
/// nothing. Columns that are read: count, cylinder, gross, scale, cap, seen (missing | unknown), label, pressure,
/// temperature, at, note; the others of the sheet are read over. A row without a weight and a word is not counted yet.
/// Problems: those of CsvReader and CsvColumns; count-elsewhere, code-*, weight-*, word-unknown, refrigerant-unknown,
/// cell-missing, entry-twice, time-*, and what record_each refuses.
tl::expected<StocktakeRead, FileProblems> read_stocktake(Book& book, const KnownStocktake& count,
                                                         const std::filesystem::path& file,
                                                         const StocktakeReadOptions& options);

}  // namespace tarebook
