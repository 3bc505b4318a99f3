// Views, and their pages: questions asked of the book, rendered as text for people, or as JSON and CSV for programs.
//
//     auto question = room_question_for(book, "RC-031").value();
//     auto page = room_page(question, {Format::text, DisplayUnits::lb, now}).value();
//     std::cout << page.body;
//
// A page informs and never says that something is safe. JSON and CSV are stable and carry a schema_version; there a
// mass is two keys, `net_lb` (a number of at most six decimals) and `net_count` (the exact count as a string). Pages
// only read; they may throw StorageError as the book does.
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/checks/fill_now.hpp"

namespace tarebook {

enum class Format { text, json, csv, html, xlsx };
/// Whether the page is read by a person, in their own units, and not by a program.
constexpr bool for_people(Format format) {
    return format == Format::text || format == Format::html || format == Format::xlsx;
}

struct PageOptions {
    Format format = Format::text;
    DisplayUnits units = DisplayUnits::lb;  ///< of text pages; JSON and CSV are in pounds
    Instant now{};
    bool whole_history = false;  ///< of a text page that shows the newest of many lines else
};

struct Page {
    std::string body;
    bool has_exceptions = false;  ///< exit code 4: the page shows what nobody has resolved
};

/// What is asked of `room`: a cylinder of the book (room_question_for fills it in), or figures read from a collar, with
/// an empty code. Water capacity and tare are needed; the rest is shown where it is known. Without a division: 0.05 lb,
/// or 0.02 kg on pages in kilograms.
struct RoomQuestion : CylinderNow, FillContents, FillConditions {};
/// Error: unknown-cylinder. The division is the coarsest of the scales on record.
Result<RoomQuestion> room_question_for(const Book& book, std::string_view cylinder);

/// Errors: those of fill_limit_now.
Result<Page> room_page(const RoomQuestion& question, const PageOptions& options);

/// So many pounds of a gas: which cylinders of the book take them?
struct TakingQuestion {
    Mass amount;
    const Refrigerant* gas = nullptr;
    std::optional<std::string> owner, place, job;
    std::optional<Temperature> stored_at;
};
Page taking_page(const Book& book, const TakingQuestion& question, const PageOptions& options);

Result<Page> cylinder_page(const Book& book, std::string_view code, const PageOptions& options);
/// Labels to stick on cylinders: gas, whose, weights, cautions, shipping name, and the ID as a QR code. As HTML a sheet
/// to print. Error: unknown-cylinder.
Result<Page> label_page(const Book& book, const std::vector<std::string>& cylinders, const PageOptions& options);
/// Returns of a cylinder that a statement may be about, "E12", oldest first: those that no statement is about yet;
/// where there is none of these, the latest.
std::vector<std::string> returns_to_settle(const Book& book, std::string_view cylinder);
/// "RC-01: STOP AT 69.30 lb, slow down at 68.00 lb; room 25.10 lb", or why it must not be filled: said before a weight
/// is asked for. Empty where the book does not know.
std::string weights_to_watch(const Book& book, std::string_view cylinder, const PageOptions& options);
/// "OVER THE LIMIT: RC-01: do not transport; draw down 5.70 lb, to 69.30 lb gross" and a line end; empty where the book
/// does not see it over its limit, which is not a statement that it is within.
std::string over_the_limit(const Book& book, std::string_view cylinder, const PageOptions& options);
/// One label as a drawing by itself (SVG).
Result<Page> label_drawing(const Book& book, std::string_view cylinder, const PageOptions& options);
Result<Page> job_page(const Book& book, std::string_view job, const PageOptions& options);
/// What was added last to the appliance of a charge or reuse, where that is less than 30 days before it, and neither
/// its job nor its leak says whether the two belong together.
struct AdditionBefore {
    std::string appliance, event;
    Date on{};
    Mass mass;
};
std::optional<AdditionBefore> addition_not_long_before(const Book& book, const Event& draft);

/// Its additions, the leak rate that each shows, the rule of the day, and how much more may be added.
Result<Page> appliance_page(const Book& book, std::string_view code, const PageOptions& options);
/// Local days from..to inclusive.
Result<Page> site_page(const Book& book, std::string_view site, Date from, Date to, const PageOptions& options);
/// A calendar year in balances, of the whole book, of an owner, or of a site (year.hpp says what each of them is).
struct YearQuestion {
    std::chrono::year year{};
    std::optional<std::string> owner, site;
};
/// Errors: unknown-owner, unknown-site, flags-together.
Result<Page> year_page(const Book& book, const YearQuestion& question, const PageOptions& options);
/// What closing the year now would record. Error (refused): year-not-over, year-sealed.
Result<kinds::Seal> year_seal(const Book& book, std::chrono::year year, Instant now);

struct YearExported {
    std::int64_t events = 0, files = 0;
    std::string sums_sha256;  ///< of the file SHA256SUMS, which names all others
};
/// The year as a folder of CSV tables with a data package, a page to print and a manifest. The same events give the
/// same bytes. The folder appears when it is whole. Errors: those of year_page, export-folder, export-not-written.
/// `progress`: called now and then with the share of the events that was looked at.
Result<YearExported> export_year(const Book& book, const YearQuestion& question, const std::filesystem::path& to,
                                 const std::function<void(double)>& progress = {});
/// The cylinders at a place, gross, against the weights that may ride without papers. Error: place-empty.
Result<Page> truck_page(const Book& book, std::string_view place, const PageOptions& options);
Page inventory_page(const Book& book, const PageOptions& options);
Page exceptions_page(const Book& book, const PageOptions& options);
/// How to isolate a circuit, in the order of closing, and what to bring.
Result<Page> circuit_page(const Book& book, std::string_view circuit, const PageOptions& options);
/// What the book has opened and nothing on record has closed, due until so many days from `on` (today), or without a
/// day; one page has exceptions where something is late.
struct DueQuestion {
    int within_days = 30;
    std::optional<Date> on;
    bool calendar = false;  ///< as RFC 5545 wants it, whatever the format of the page options
    /// Where a look over a large book may keep what it found, for the next one; empty: nowhere.
    std::filesystem::path kept = {};
};
Page due_page(const Book& book, const DueQuestion& question, const PageOptions& options);
/// Which clocks opened, closed or moved against an earlier page of due in JSON, as of its day, and why; exceptions
/// where any did. Errors: due-page, those of read_whole.
Result<Page> due_since_page(const Book& book, const std::filesystem::path& earlier, const PageOptions& options);
/// The last look of this machine at a book's clocks lies in `last`, a file that may go at any time. Where the rule
/// packs of this program are others than then: what they opened, closed or moved, as due_since_page() has it. Then
/// `last` is this look.
std::optional<Page> due_since_update(const Book& book, const std::filesystem::path& last, const PageOptions& options);
/// Error finding-unknown (refused), with the nearest, where no open clock has that id.
Result<void> clock_exists(const Book& book, std::string_view id, Instant now);
/// The figures, the formula, the clause and the events behind an exception, a clock, or the event of an addition.
/// Error: finding-unknown.
Result<Page> why_page(const Book& book, std::string_view finding, const PageOptions& options);
Page register_page(const Book& book, EntryKind kind, const PageOptions& options);
Result<Page> entry_page(const Book& book, EntryKind kind, std::string_view code, const PageOptions& options);
Page check_page(const BookCheck& check, const PageOptions& options);

/// Every event in order of time, one a line: CSV, or with Format::json the bodies as JSON Lines. `write` gets the
/// pieces.
void export_events(const Book& book, Format format, const std::function<void(std::string_view)>& write);

/// What a person sees right after a recording: one screen an event, what they need first.
/// `outcomes` belong to `events`, in the same order.
Page recorded_page(const Book& book, const std::vector<StoredEvent>& events, const std::vector<Outcome>& outcomes,
                   const PageOptions& options);

}  // namespace tarebook
