// job record, job blank: one visit on a sheet.
#include <fmt/format.h>

#include <iostream>
#include <memory>

#include "exit_code.hpp"
#include "file_problems.hpp"
#include "session.hpp"
#include "tarebook/exchange/job_sheet.hpp"
#include "tarebook/report/visit_form.hpp"
#include "tarebook/units/bounded_file.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

struct JobOptions {
    std::string file, site;
    Text job, place;
};

// Reads one byte more than a sheet may have, to see that it is too large.
std::string text_of_sheet(const std::string& file) {
    if (file != "-") {
        auto text = read_whole(file, longest_job_sheet);
        if (text) return std::move(*text);
        if (text.error().name == "file-too-large") return std::string(longest_job_sheet + 1, ' ');
        throw slip("file-unreadable", fmt::format("{} cannot be read", file), file,
                   "a job sheet in an ordinary file, or - for what is typed",
                   "tarebook job blank --site SITE > visit.yaml");
    }
    std::string text(longest_job_sheet + 1, '\0');
    std::cin.read(text.data(), static_cast<std::streamsize>(text.size()));
    text.resize(static_cast<std::size_t>(std::cin.gcount()));
    return text;
}

// Keeps the text of a refused sheet, so that it need not be typed again. If it cannot be kept, the refusal is the same.
int refuse(const Session& s, const Book& book, const FileProblems& problems, const std::string& file,
           const std::string& text) {
    AfterProblems after{"where it did happen, write the reason on its line: anyway: \"reason\"", {}, {}};
    const bool typed = file == "-";
    auto mend = file;
    if (!text.empty() && text.size() <= longest_job_sheet) {
        try {
            after.kept = keep_sheet_draft(book.path(), text).string();
            if (typed) mend = after.kept;
        } catch (const StorageError& e) {
            after.next = fmt::format("it could not be kept as a draft ({}); ", e.what());
        }
    }
    after.next += fmt::format("mend the lines, then: tarebook job record {}", mend);
    return tell_file_problems(s, problems, typed ? "(typed)" : file, after);
}

std::string events_text(const std::vector<StoredEvent>& events) {
    const auto first = events.front().name;
    return events.size() == 1 ? first : fmt::format("{} to {}", first, events.back().name);
}

// Keeps the text of the sheet if the book or the disk fails.
StorageError with_draft(const StorageError& failure, const Book& book, const std::string& text) {
    auto next = failure.next();
    try {
        next += fmt::format("{}the sheet is kept: {}", next.empty() ? "" : "; ",
                            keep_sheet_draft(book.path(), text).string());
    } catch (const StorageError&) {
        // The disk may have caused both failures; the first one is reported.
        return failure;
    }
    return StorageError(failure.what(), next, failure.written(), failure.disk());
}

tl::expected<SheetRecorded, FileProblems> record_or_keep(Book& book, const std::string& text, const std::string& name,
                                                         const SheetOptions& options) {
    try {
        return record_job_sheet(book, text, name, options);
    } catch (const StorageError& failure) {
        if (failure.written() == Written::yes || text.size() > longest_job_sheet) throw;
        throw with_draft(failure, book, text);
    }
}

int record_sheet(const Session& s, const JobOptions& o) {
    const auto text = text_of_sheet(o.file);
    const std::string name = o.file == "-" ? "(typed)" : o.file;
    auto book = s.open(Access::write);
    SheetOptions options{s.now, {}};
    if (s.has_terminal) options.ask = ask_finding;
    const auto done = record_or_keep(book, text, name, options);
    if (!done) return refuse(s, book, done.error(), o.file, text);
    drop_sheet_draft(book.path(), done->sheet, o.file == "-" ? "" : o.file);
    const bool words = s.page_options(&book).format == Format::text;
    if (!done->recorded.already.empty()) {
        auto& out = words ? std::cout : std::cerr;  // JSON and CSV must stay valid
        if (done->recorded.only_already())
            out << fmt::format("already recorded: sheet {}, as {}; nothing was written\n", done->sheet,
                               events_text(done->recorded.already));
        else
            out << fmt::format("sheet {}: {} recorded already ({}), {} new\n\n", done->sheet,
                               done->recorded.already.size(), events_text(done->recorded.already),
                               done->recorded.events.size());
    }
    for (const auto& stored : done->recorded.already)
        if (stored.voided_by)
            (words ? std::cout : std::cerr)
                << fmt::format("{} was voided by {} and does not count\n", stored.name, *stored.voided_by);
    if (done->recorded.only_already() && words) return exit_done;
    s.tell_recorded(book, done->recorded);
    s.judge_on(book);
    return done->recorded.has_exceptions() ? exit_exceptions : exit_done;
}

// The sheet as text, or as a page that a phone fills in.
int blank(const Session& s, const JobOptions& o) {
    const bool form = s.format == "html";
    if (o.place && !form)
        throw slip("sheet-place", "a sheet of text lists no cylinders, so it takes no --place", *o.place,
                   "--format html: the form, with the cylinders there",
                   fmt::format("tarebook job blank --site {} --place {} --format html > visit.html", o.site, *o.place));
    const auto book = s.open(Access::read, Shown::as_it_is);
    if (form) {
        const VisitFormQuestion question{o.site, o.job, o.place, fresh_sheet_id(o.site)};
        std::cout << must(visit_form_page(book, question, s.report_options(book))).body;
        return exit_done;
    }
    std::vector<std::string> equipment, cautions;
    for (const auto& code : book.codes(EntryKind::appliance))
        if (site_of(code) == o.site) equipment.push_back(code);
    const auto warned = gas_caution(book, equipment, {}, unbroken);
    for (const auto line : split(warned, '\n')) cautions.emplace_back(line);
    std::cout << must(blank_job_sheet(book, o.site, o.job, cautions));
    return exit_done;
}

}  // namespace

void setup_job_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<JobOptions>();
    auto* group = root.add_subcommand("job", "one visit on a sheet")->require_subcommand(1)->fallthrough();
    auto* c = group->add_subcommand("record", "a filled-in sheet into the book: all its lines or none")->fallthrough();
    c->add_option("file", o->file, "job sheet (YAML); - reads it from the standard input")->required();
    c->callback([&s, o] { s.run = [&s, o] { return record_sheet(s, *o); }; });
    c = group->add_subcommand("blank", "a sheet to fill in; --format html: a form for a phone")->fallthrough();
    c->add_option("--site", o->site, "site, as registered")->required();
    c->add_option("--job", o->job, "job or visit number");
    c->add_option("--place", o->place, "of the form: cylinders there; else those that fit the site's gases");
    c->callback([&s, o] { s.run = [&s, o] { return blank(s, *o); }; });
}

}  // namespace tarebook::cli
