// Records a sheet that was read: all lines or none.
#include <fmt/format.h>

#include <algorithm>

#include "job_sheet_id.hpp"
#include "tarebook/exchange/job_sheet.hpp"

namespace tarebook {
namespace {

// Places an error at the key whose value it is about, if there is one: a code that is not on record, a cylinder that is
// named twice, an empty reason. Empty for an error about the head of the sheet, which is reported there.
std::optional<FileProblem> located(const SheetLine& line, const std::string& name, Error error) {
    if (error.name.starts_with("unknown-") || error.name == "same-cylinder") {
        for (const auto& word : line.words)
            if (word.text == error.seen) return FileProblem{name, word.line, word.key, std::move(error)};
        if (error.name == "unknown-scale") return std::nullopt;
    }
    if (error.name == "reason-empty")
        for (const auto& word : line.words)
            if (word.text.find_first_not_of(" \t\r\n") == std::string::npos)
                return FileProblem{name, word.line, word.key, std::move(error)};
    return FileProblem{name, line.line, {}, std::move(error)};
}

// Reports lines that the book has and the sheet lacks now: removing a line from the sheet does not take it back.
void look_for_missing_lines(const Book& book, JobSheet& sheet, const std::string& name) {
    if (sheet.id.empty()) return;
    for (auto number = sheet.lines.size() - sheet.isolated - sheet.set_first + 1;; ++number) {
        const auto stored = book.event_with_own_id(exchange::own_id_of_line(sheet.id, number));
        if (!stored) return;
        if (stored->voided_by) continue;
        const auto event = stored->name;
        sheet.problems.add(
            {name,
             0,
             "weighings",
             {ErrorKind::refused,
              "sheet-line-missing",
              fmt::format("line {} of this sheet is recorded as {}, and is not on it any more", number, event),
              {},
              "the lines that are recorded, and new ones after them",
              fmt::format("put it back; to take it out of the book: tarebook void {} --why ...", event)}});
    }
}

// Whether a part of the note, between semicolons, is this text.
bool has_part(const std::string& note, const std::string& part) {
    return ("; " + note + "; ").find("; " + part + "; ") != std::string::npos;
}

// An older program wrote an isolated circuit into the note of the first line that names it. A sheet that it recorded
// stays as it was recorded.
void keep_as_noted(const Book& book, JobSheet& sheet) {
    std::vector<bool> noted(sheet.lines.size(), false);
    for (std::size_t i = 0; i < sheet.isolated; ++i) {
        const auto& line = sheet.lines[i];
        auto* on = line.noted_on ? &sheet.lines[sheet.isolated + sheet.set_first + line.noted_on - 1] : nullptr;
        if (!on || !on->draft) continue;
        const auto stored = book.event_with_own_id(*on->draft->own_id);
        if (!stored || !has_part(stored->event.note.value_or(""), line.as_noted)) continue;
        auto& note = on->draft->note;
        note = note ? *note + "; " + line.as_noted : line.as_noted;
        noted[i] = true;
    }
    std::size_t at = 0;
    std::erase_if(sheet.lines, [&](const SheetLine&) { return noted[at++]; });
    sheet.isolated -= static_cast<std::size_t>(std::count(noted.begin(), noted.end(), true));
}

}  // namespace

SheetBook sheet_book(const Book& book) {
    const Book* b = &book;
    return {[b](const std::string& site) -> Result<std::string> {
                const auto* entry = b->entries().find(EntryKind::site, site);
                if (!entry) return fail(unknown_code(*b, EntryKind::site, site));
                return entry->text("zone", {Instant::max(), {}, 0}).value_or(b->info().zone);
            },
            [b](const std::string& scale, Instant at) -> Result<ScaleReads> {
                const auto* entry = b->entries().find(EntryKind::scale, scale);
                if (!entry) return fail(unknown_code(*b, EntryKind::scale, scale));
                const auto word = entry->text("reads", {at, {}, 0}).value_or("");
                return word == "lb"      ? ScaleReads::lb
                       : word == "kg"    ? ScaleReads::kg
                       : word == "lb-oz" ? ScaleReads::lb_oz
                                         : ScaleReads::unknown;
            },
            [b](const std::string& cylinder, Instant at) {
                const auto* entry = b->entries().find(EntryKind::cylinder, cylinder);
                return !entry || entry->mass("tare", {at, {}, 0}).has_value();
            },
            book.catalogue()};
}

tl::expected<SheetRecorded, FileProblems> record_job_sheet(Book& book, std::string_view text, const std::string& name,
                                                           const SheetOptions& options) {
    auto sheet = parse_job_sheet(text, name, sheet_book(book), options.now);
    if (sheet.problems.count > 0 && sheet.lines.empty()) return tl::unexpected(std::move(sheet.problems));
    look_for_missing_lines(book, sheet, name);
    keep_as_noted(book, sheet);
    std::vector<DraftLine> lines;
    for (const auto& line : sheet.lines) lines.push_back({line.draft, line.cylinders, line.any_cylinder});
    // If the sheet as a whole has a problem, its lines are judged, and not recorded.
    auto done = record_each(book, std::move(lines), {.ask = options.ask, .dry_run = !sheet.problems.empty()});
    if (sheet.problems.empty() && done) return SheetRecorded{sheet.id, std::move(done)};
    for (auto& problem : done.problems)
        if (auto at_line = located(sheet.lines[problem.draft], name, std::move(problem.error)))
            sheet.problems.add(std::move(*at_line));
    std::stable_sort(sheet.problems.listed.begin(), sheet.problems.listed.end(),
                     [](const FileProblem& a, const FileProblem& b) { return a.line < b.line; });
    return tl::unexpected(std::move(sheet.problems));
}

}  // namespace tarebook
