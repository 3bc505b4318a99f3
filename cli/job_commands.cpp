// job record, job blank: one visit on a sheet.
#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <iostream>
#include <memory>

#include "exit_code.hpp"
#include "session.hpp"
#include "tarebook/job_sheet.hpp"

namespace tarebook::cli {
namespace {

struct Options {
    std::string file, site;
    Text job;
};

// One byte more than a sheet may have is enough to see that it is too large.
std::string text_of_sheet(const std::string& file) {
    std::ifstream opened;
    if (file != "-") opened.open(file, std::ios::binary);
    std::istream& in = file == "-" ? std::cin : opened;
    std::string text(longest_job_sheet + 1, '\0');
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    if (in.bad() || (file != "-" && !opened.is_open()) || (in.gcount() == 0 && !in.eof()))
        throw slip("file-unreadable", fmt::format("{} cannot be read", file), file,
                   "a job sheet, or - for what is typed", "tarebook job blank --site SITE > visit.yaml");
    text.resize(static_cast<std::size_t>(in.gcount()));
    return text;
}

// visit.yaml:12: before: what
//   seen ...; expected ...
//   next: what to do now
void tell_problem(const FileProblem& p) {
    std::cerr << p.file << ':';
    if (p.line > 0) std::cerr << p.line << ':';
    std::cerr << ' ' << (p.field.empty() ? "" : p.field + ": ") << p.error.what << '\n';
    std::string line;
    if (!p.error.seen.empty()) line += "seen " + p.error.seen;
    if (!p.error.expected.empty()) line += (line.empty() ? "expected " : "; expected ") + p.error.expected;
    if (!line.empty()) std::cerr << "  " << line << '\n';
    if (!p.error.next.empty()) std::cerr << "  next: " << p.error.next << '\n';
}

bool overridable(const Error& error) {
    return error.kind == ErrorKind::refused &&
           std::any_of(all_checks().begin(), all_checks().end(),
                       [&](const CheckInfo& check) { return check.name == error.name; });
}

// A refused sheet is kept, because somebody typed it; that it could not be kept changes nothing of the refusal.
void keep(const Book& book, const std::string& text, bool from_stdin) {
    if (text.empty() || text.size() > longest_job_sheet) return;
    try {
        const auto kept = keep_sheet_draft(book.path(), text).string();
        std::cerr << "  kept as a draft: " << kept << '\n'
                  << "  next: mend the lines, then: tarebook job record " << (from_stdin ? kept : "FILE") << '\n';
    } catch (const StorageError& e) {
        std::cerr << "  it could not be kept as a draft: " << e.what() << '\n';
    }
}

int tell_problems(const Book& book, const FileProblems& problems, const std::string& file, const std::string& text) {
    bool any_usage = false;
    bool any_overridable = false;
    for (const auto& p : problems.listed) {
        tell_problem(p);
        any_usage = any_usage || p.error.kind == ErrorKind::usage;
        any_overridable = any_overridable || overridable(p.error);
    }
    if (problems.count > problems.listed.size())
        std::cerr << fmt::format("and {} more\n", problems.count - problems.listed.size());
    if (any_overridable)
        std::cerr << "where it did happen, write the reason on its line and record the sheet again:\n"
                     "        anyway: \"reason\"\n";
    std::cerr << fmt::format("{}{} problem{} in {}. Nothing was written.\n",
                             any_usage ? "cannot take that: " : "refused: ", problems.count,
                             problems.count == 1 ? "" : "s", file);
    keep(book, text, file == "-");
    return any_usage ? exit_usage : exit_refused;
}

std::string events_text(const std::vector<StoredEvent>& events) {
    const auto first = event_name(events.front().event.seq);
    return events.size() == 1 ? first : fmt::format("{} to {}", first, event_name(events.back().event.seq));
}

int record_sheet(const Session& s, const Options& o) {
    const auto text = text_of_sheet(o.file);
    const std::string name = o.file == "-" ? "(typed)" : o.file;
    auto book = s.open(Access::write);
    SheetOptions options{s.now, {}};
    if (s.has_terminal) options.ask = ask_yes;
    const auto done = record_job_sheet(book, text, name, options);
    if (!done) return tell_problems(book, done.error(), o.file, text);
    drop_sheet_draft(book.path(), done->sheet, o.file == "-" ? "" : o.file);
    const bool words = s.page_options(&book).format == Format::text;
    if (!done->already.empty()) {
        auto& out = words ? std::cout : std::cerr;  // JSON and CSV stay whole
        if (done->recorded.already)
            out << fmt::format("already recorded: sheet {}, as {}; nothing was written\n", done->sheet,
                               events_text(done->already));
        else
            out << fmt::format("sheet {}: {} recorded already ({}), {} new\n\n", done->sheet, done->already.size(),
                               events_text(done->already), done->recorded.events.size());
    }
    if (done->recorded.already && words) return exit_done;
    std::cout << recorded_page(book, done->recorded.events, done->recorded.outcomes, s.page_options(&book)).body;
    return done->recorded.has_exceptions() ? exit_exceptions : exit_done;
}

int blank(const Session& s, const Options& o) {
    const auto book = s.open(Access::read);
    std::cout << must(blank_job_sheet(book, o.site, o.job));
    return exit_done;
}

}  // namespace

void setup_job_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<Options>();
    auto* group = root.add_subcommand("job", "one visit on a sheet")->require_subcommand(1)->fallthrough();
    auto* c = group->add_subcommand("record", "a filled-in sheet into the book: all its lines or none")->fallthrough();
    c->add_option("file", o->file, "job sheet (YAML); - reads it from the standard input")->required();
    c->callback([&s, o] { s.run = [&s, o] { return record_sheet(s, *o); }; });
    c = group->add_subcommand("blank", "a sheet to fill in")->fallthrough();
    c->add_option("--site", o->site, "site, as registered")->required();
    c->add_option("--job", o->job, "job or visit number");
    c->callback([&s, o] { s.run = [&s, o] { return blank(s, *o); }; });
}

}  // namespace tarebook::cli
