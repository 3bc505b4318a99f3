// A visit on one sheet (YAML): what a technician fills in, what the office records, all or nothing. The keys of a line
// are the flags of the command line; schema/job-sheet.schema.yaml describes every one.
//
//     auto done = record_job_sheet(book, text, "visit.yaml", {.now = now, .ask = {}});
//     if (!done) for (const auto& problem : done.error().listed) ...   // nothing was written
//
// A sheet carries its own id. Each line that is filled in becomes one event with the own id SHEET/N, N counting the
// lines from 1, and each circuit that was isolated one with SHEET/isolated-N before them: the same sheet again changes
// nothing, a line that was changed is refused, new lines at its end are recorded (I7).
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/record/record.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/units/file_problem.hpp"

namespace tarebook {

inline constexpr std::size_t longest_job_sheet = 1'048'576;  ///< bytes

/// The questions that reading a sheet asks of a book.
struct SheetBook {
    /// The zone of a site. Error: unknown-site.
    std::function<Result<std::string>(const std::string& site)> zone_of;
    /// What a scale reads at a moment. Error: unknown-scale.
    std::function<Result<ScaleReads>(const std::string& scale, Instant at)> reads_of;
    /// Whether a gross weight alone says what came into a cylinder. True where the cylinder is not known.
    std::function<bool(const std::string& cylinder, Instant at)> has_tare;
    /// The refrigerants that a line may name.
    Catalogue catalogue = {};
};
/// Answers from a book, which must outlive them.
SheetBook sheet_book(const Book& book);

/// A key of a line with its value, as typed.
struct SheetWord {
    std::string key, text;
    std::int64_t line = 0;
};

/// One line that is filled in.
struct SheetLine {
    std::int64_t line = 0;               ///< in the file
    std::size_t number = 0;              ///< from 1, among the lines that are filled in
    std::vector<std::string> cylinders;  ///< that it names, also where it cannot be read
    bool any_cylinder = false;           ///< where it cannot be read: not even which cylinders it is about
    std::vector<SheetWord> words;        ///< what is typed on it, in its order
    std::optional<Event> draft;          ///< empty where something on the line is wrong
    std::vector<Event> set_first = {};   ///< what the line sets before: tare and place of a cylinder that comes
    /// Of an isolated circuit: what an older program wrote of it into the note of a line, and the number of that line.
    std::string as_noted = {};
    std::size_t noted_on = 0;
};

/// A sheet as it was read: all lines, and all that is wrong with them.
struct JobSheet {
    std::string id;                ///< empty where it cannot be read
    std::vector<SheetLine> lines;  ///< the circuits that were isolated, what lines set first, then the lines
    std::size_t isolated = 0;      ///< how many of them are isolated circuits
    std::size_t set_first = 0;     ///< how many are a tare or a place that a line sets
    FileProblems problems;
};

/// Reads a sheet into drafts, pure: no book is opened, no file read. `name` is the file's name, for problems. Takes any
/// bytes. Errors (usage unless said), each with its line and key: sheet-too-large, sheet-empty, sheet-not-utf8,
/// sheet-control-character, sheet-long-line, sheet-tab, sheet-too-deep, sheet-anchor, sheet-tag, sheet-directive,
/// sheet-second-document, sheet-complex-key, sheet-merge-key, sheet-syntax, sheet-duplicate-key, sheet-unknown-key,
/// sheet-key-of-other-act, sheet-key-missing, sheet-shape, sheet-id, sheet-word, sheet-number, sheet-circuit-elsewhere
/// (refused), weighing-twice, transfer-weights, outside-net, release-where, evacuate-where,
/// no-tare; those of SheetBook, parse_weight, parse_moment, parse_date, parse_pressure and Catalogue::parse.
JobSheet parse_job_sheet(std::string_view text, const std::string& name, const SheetBook& book, Instant now);

/// How a sheet is recorded.
struct SheetOptions {
    Instant now{};
    std::function<bool(const Finding&)> ask = {};  ///< as in RecordOptions
};

/// A sheet that was recorded.
struct SheetRecorded {
    std::string sheet;  ///< its id
    Recorded recorded;  ///< the lines that were recorded now, and those that were in the book before
};

/// Reads a sheet and records it. Every problem is listed in one run, by line. Errors beside those of parse_job_sheet
/// and record: sheet-line-missing (refused), where the book holds lines that are no longer on the sheet.
tl::expected<SheetRecorded, FileProblems> record_job_sheet(Book& book, std::string_view text, const std::string& name,
                                                           const SheetOptions& options);

/// An id for a sheet, or for a form that makes one: of the site's code and of 48 random bits, at most 53 letters.
std::string fresh_sheet_id(const std::string& site);
/// A sheet to fill in for a site that is on record, with a fresh id, and the cautions at its head. Error: unknown-site.
Result<std::string> blank_job_sheet(const Book& book, const std::string& site, const std::optional<std::string>& job,
                                    const std::vector<std::string>& cautions = {});

/// The folder of drafts beside a book, BOOK.drafts; it need not be there.
std::filesystem::path sheet_drafts_folder(const std::filesystem::path& book);
/// Keeps a refused sheet's text beside the book (mode 0600, whole or not at all) and returns the file. It is named
/// after the sheet's id, or after the digest of its text where that cannot be read. Throws StorageError.
std::filesystem::path keep_sheet_draft(const std::filesystem::path& book, std::string_view text);
/// Deletes the draft of a sheet that is recorded now, and `read_from` if it is in the folder of drafts.
void drop_sheet_draft(const std::filesystem::path& book, const std::string& sheet,
                      const std::filesystem::path& read_from);

}  // namespace tarebook
