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
#include "tarebook/report/label_size.hpp"
#include "tarebook/scale/scale_port.hpp"
#include "tarebook/units/fitted_text.hpp"

namespace tarebook {

namespace report {
struct Gathered;
class PageLinks;
}  // namespace report

/// The form of a page.
enum class Format { text, json, csv, html, xlsx };
/// Whether the page is read by a person, in their own units, and not by a program.
constexpr bool for_people(Format format) {
    return format == Format::text || format == Format::html || format == Format::xlsx;
}

/// What JSON and CSV say of themselves as schema_version: raised where a field is renamed, moved or given another kind.
/// A new field does not raise it. schema/output has a JSON Schema for each page.
inline constexpr int page_schema_version = 2;

/// How a page is made.
struct PageOptions {
    Format format = Format::text;
    DisplayUnits units = DisplayUnits::lb;       ///< of text pages; JSON and CSV are in pounds
    Instant now{};                               ///< the time of the page
    bool whole_history = false;                  ///< all lines of a text page that shows only the newest of them else
    const report::PageLinks* links = nullptr;    ///< set by make_pages: the page is one of a folder
    const report::Gathered* gathered = nullptr;  ///< set by make_pages: what its pages have in common
    std::size_t width = usual_text;              ///< letters in a line of a text page; no other page depends on it
    /// Cautions (as in Page) that this visit has seen in full: a short line stands for them, where no gas burns or is
    /// toxic and nothing is an exception.
    const std::vector<std::string>* cautions_seen = nullptr;
};

/// A page as it is printed or written.
struct Page {
    std::string body;             ///< text, or the bytes of an xlsx file
    bool has_exceptions = false;  ///< exit code 4: the page shows what is not resolved
    /// Of a page after a recording: the cautions that it has in full, an act and a gas each: "oil R-448A".
    std::vector<std::string> cautions = {};
};

/// A cylinder of the book (room_question_for fills it in), or figures read from a collar, with an empty code. Water
/// capacity and tare are needed; the rest is shown if known. Without a division: 0.05 lb, or 0.02 kg on pages in
/// kilograms.
struct RoomQuestion : CylinderNow, FillContents, FillConditions {
    ReferenceData data = {};                       ///< by which it is answered
    std::optional<DisplayUnits> scale_reads = {};  ///< what the scale shows, where that is known
};
/// The cylinder as the book has it; the division is that of `scale` (its code), else of the scale on which the cylinder
/// was weighed last, where the register has it. Errors (refused): unknown-cylinder, unknown-scale.
Result<RoomQuestion> room_question_for(const Book& book, std::string_view cylinder,
                                       const std::optional<std::string>& scale = {});

/// How much more goes into the cylinder; with the foot of the book that it is of. Errors: those of fill_limit_now.
Result<Page> room_page(const RoomQuestion& question, const PageOptions& options, const Book* book = nullptr);

/// Which cylinders of the book take so much of a gas?
struct TakingQuestion {
    Mass amount;
    const Refrigerant* gas = nullptr;  ///< precondition of taking_page: not null
    std::optional<std::string> owner, place, job;
    std::optional<Temperature> stored_at;
};
/// The cylinders that take it, and why others do not.
Page taking_page(const Book& book, const TakingQuestion& question, const PageOptions& options);

/// A cylinder: what is in it, its limits, what happened to it. Error (refused): unknown-cylinder.
Result<Page> cylinder_page(const Book& book, std::string_view code, const PageOptions& options);
/// Labels to stick on cylinders: gas, owner, weights, cautions, shipping name, and the ID as a QR code. As HTML a sheet
/// to print. Error (refused): unknown-cylinder.
Result<Page> label_page(const Book& book, const std::vector<std::string>& cylinders, const LabelSize& size,
                        const PageOptions& options);
/// The returns of a cylinder that a statement may be about, as event names, oldest first: those that no statement is
/// about yet; if there is none of these, the latest return.
std::vector<std::string> returns_to_settle(const Book& book, std::string_view cylinder);
/// For people at work on equipment (circuits, appliances) and with cylinders: "caution: flammable: ..." where a
/// gas burns, "caution: toxic: ..." where one is toxic, or that one is not known and may burn. Else empty.
std::string gas_caution(const Book& book, const std::vector<std::string>& equipment,
                        const std::vector<std::string>& cylinders, std::size_t width = usual_text);
/// For people: "OVER THE LIMIT: RC-01: do not transport; draw down 5.70 lb, to 69.30 lb gross" and a line end. Empty
/// where the book does not see it over its limit, which is not a statement that it is within.
std::string over_the_limit(const Book& book, std::string_view cylinder, const PageOptions& options);
/// One label as a drawing by itself (SVG). Error (refused): unknown-cylinder.
Result<Page> label_drawing(const Book& book, std::string_view cylinder, const LabelSize& size,
                           const PageOptions& options);
/// What happened in a job. Error (refused): job-unknown.
Result<Page> job_page(const Book& book, std::string_view job, const PageOptions& options);
/// An addition that another one follows within 30 days.
struct AdditionBefore {
    std::string appliance, event;
    Date on{};
    Mass mass;
};
/// The last addition to the appliance of a charge or reuse, if it is less than 30 days before the draft, and neither
/// job nor leak says whether the two belong together; else nothing.
std::optional<AdditionBefore> addition_not_long_before(const Book& book, const Event& draft);

/// An appliance: its additions, the leak rate that each shows, the rule of the day, and how much more may be added.
/// Error (refused): unknown-appliance.
Result<Page> appliance_page(const Book& book, std::string_view code, const PageOptions& options);
/// What moved at a site on local days from..to inclusive. Error (refused): unknown-site.
Result<Page> site_page(const Book& book, std::string_view site, Date from, Date to, const PageOptions& options);
/// A calendar year in balances, of the whole book, of an owner, or of a site; not of both.
struct YearQuestion {
    std::chrono::year year{};
    std::optional<std::string> owner, site;
};
/// The year's balances (see year.hpp). Errors: unknown-owner, unknown-site (refused), flags-together (usage).
Result<Page> year_page(const Book& book, const YearQuestion& question, const PageOptions& options);
/// What closing the year now would record. Errors (refused): year-not-over, year-sealed.
Result<kinds::Seal> year_seal(const Book& book, std::chrono::year year, Instant now);

/// What an export wrote.
struct YearExported {
    std::int64_t events = 0, files = 0;
    std::string sums_sha256;  ///< of the file SHA256SUMS, which names all others
};
/// Writes the year as a folder of CSV tables with a data package, a page to print and a manifest. The same events give
/// the same bytes. The folder appears when it is whole. `progress` is called now and then with the share of the events
/// that was looked at, 0 to 1. Errors: those of year_page, export-folder, export-not-written.
Result<YearExported> export_year(const Book& book, const YearQuestion& question, const std::filesystem::path& to,
                                 const std::function<void(double)>& progress = {});
/// The cylinders at a place, gross, against the weights that may ride without papers. Error (refused): place-empty.
Result<Page> truck_page(const Book& book, std::string_view place, const PageOptions& options);
/// The shop's own gas by place and price, and what is under the level that the shop has set: then it has exceptions.
Page stock_page(const Book& book, const PageOptions& options);
/// What a job had that an invoice lists: gas charged, credits, parts and hours, priced where prices are on record.
/// Error (refused): job-unknown.
Result<Page> invoice_page(const Book& book, std::string_view job, const PageOptions& options);
/// What is in stock, by gas, and every cylinder.
Page inventory_page(const Book& book, const PageOptions& options);
/// The exceptions that no event has resolved.
Page exceptions_page(const Book& book, const PageOptions& options);
/// How to isolate a circuit, in the order of closing, and what to bring. Error (refused): unknown-circuit.
Result<Page> circuit_page(const Book& book, std::string_view circuit, const PageOptions& options);
/// Which open clocks to show: those due until `within_days` after `on`, or without a day.
struct DueQuestion {
    int within_days = 30;
    std::optional<Date> on;  ///< today where absent
    bool calendar = false;   ///< as RFC 5545 wants it, in place of the format of the page options
    /// The file in which a look over a large book may keep what it found, for the next one; empty: none.
    std::filesystem::path kept = {};
};
/// The open clocks; it has exceptions where one is late.
Page due_page(const Book& book, const DueQuestion& question, const PageOptions& options);
/// Which clocks opened, closed or moved since an earlier due page in JSON, as of its day, and why; it has exceptions
/// where any did. Errors: due-page, and those of read_whole.
Result<Page> due_since_page(const Book& book, const std::filesystem::path& earlier, const PageOptions& options);
/// Compares with this machine's last look at the book's clocks, kept in the file `last`, which may be deleted at any
/// time. Nothing unless the rule packs of this program are others than then; else what they opened, closed or moved, as
/// in due_since_page(). Keeps the new look in `last`, unless the book has more than 5 000 open clocks. `kept`: as in
/// DueQuestion.
std::optional<Page> due_since_update(const Book& book, const std::filesystem::path& last,
                                     const std::filesystem::path& kept, const PageOptions& options);
/// Whether an open clock has that id. Error (refused): finding-unknown, with the nearest one.
Result<void> clock_exists(const Book& book, std::string_view id, Instant now);
/// The figures, the formula, the clause and the events behind an exception, a clock, or the event of an addition. Error
/// (refused): finding-unknown.
Result<Page> why_page(const Book& book, std::string_view finding, const PageOptions& options);
/// All entries of a kind.
Page register_page(const Book& book, EntryKind kind, const PageOptions& options);
/// One entry with all its fields. Error (refused): unknown- and the kind.
/// `port`: of a scale, that of this device, which JSON has beside the entry.
Result<Page> entry_page(const Book& book, EntryKind kind, std::string_view code, const PageOptions& options,
                        const std::optional<ScalePort>& port = {});
/// What Book::check found.
Page check_page(const BookCheck& check, const PageOptions& options);

/// Every event in order of time, one a line: CSV, or with Format::json the bodies as JSON Lines, each with its name,
/// its digest and the void that takes it out of count. `since`: without the events of earlier local days. `write` gets
/// pieces of the text.
void export_events(const Book& book, Format format, const std::function<void(std::string_view)>& write,
                   const std::optional<Date>& since = {});

/// What a person sees right after a recording: one screen an event, what they need first. Precondition: `outcomes`
/// belong to `events`, in the same order.
Page recorded_page(const Book& book, const std::vector<StoredEvent>& events, const std::vector<Outcome>& outcomes,
                   const PageOptions& options);
/// All that is to be said of one event, at any time: proofs, figures against what was expected, and what was found.
/// Stop weights are those of today. Error (refused): event-unknown.
Result<Page> event_page(const Book& book, std::string_view event, const PageOptions& options);

}  // namespace tarebook
