// count: weighs the cylinders of a place against the book; begin, weigh, missing, read, sheet, show, close.
#include <fmt/format.h>

#include <iostream>
#include <memory>

#include "exit_code.hpp"
#include "file_problems.hpp"
#include "session.hpp"
#include "tarebook/exchange/stocktake_entry.hpp"
#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/report/stocktake_page.hpp"

namespace tarebook::cli {
namespace {

struct StocktakeCommandOptions {
    Text place, id, gross, cap, label, pressure, temperature, count, second_person, file;
    std::vector<std::string> reasons;
    bool blind = false, not_in_the_book = false;
};

std::string so_many(std::size_t n, const char* one) {
    return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s");
}

// Records without telling whether the weight met the book, in page, question or exit code: for a person who weighs
// blind.
int record_veiled(const Session& s, Book& book, const KnownStocktake& count, std::vector<Event> drafts,
                  const std::string& cylinder) {
    const auto recorded = record(book, std::move(drafts), {.anyway = s.anyway});
    if (!recorded) throw Stop{recorded.error()};
    book.hold_still();
    const auto name = recorded.only_already() ? recorded.first().name : recorded.events.back().name;
    const auto options = s.page_options(&book);
    if (options.format != Format::text) {
        std::cout << stocktake_page(book, count, options).body;
        return exit_done;
    }
    std::cout << (recorded.only_already() ? fmt::format("already recorded as {}; nothing was written\n", name)
                                          : fmt::format("{} recorded as {}\n", cylinder, name))
              << stocktake_progress(book, count, cylinder, options);
    return exit_done;
}

int record_found(const Session& s, const StocktakeCommandOptions& o, StocktakeFound found) {
    auto book = s.open(Access::write);
    const auto count = must(stocktake_named(book, o.count, false));
    if (!found.missing && !found.not_in_the_book)
        found.gross = s.need_weight(book, o.gross, "--gross", "what the scale shows, for example 31.20lb");
    else
        found.gross = s.shown_weight(book, o.gross);
    std::vector<Event> drafts;
    for (auto& act : must(acts_of(book, count, found))) drafts.push_back(s.draft(book, std::move(act)));
    if (count.what().blind) return record_veiled(s, book, count, std::move(drafts), found.cylinder);
    const int code = s.record_and_tell(book, std::move(drafts));
    const auto options = s.page_options(&book);
    if (options.format == Format::text) std::cout << stocktake_progress(book, count, found.cylinder, options);
    return code;
}

int stocktake_begin(const Session& s, const StocktakeCommandOptions& o) {
    // Opened for a page, because the sheet may be printed from a browser; a wrong --format must end the command before
    // it writes.
    auto book = s.open_for_page();
    auto draft = s.draft(book, must(stocktake_to_begin(book, s.need(o.place, "--place", "place to count"), o.blind)));
    const auto recorded = record(book, {std::move(draft)}, {.anyway = s.anyway});
    if (!recorded) throw Stop{recorded.error()};
    book.hold_still();
    const auto options = s.report_options(book);
    const auto name = recorded.first().name;
    const auto count = must(stocktake_named(book, name, true));
    auto& remark = options.format == Format::text ? std::cout : std::cerr;  // the sheet itself must stay valid
    if (recorded.only_already()) remark << "already recorded as " << name << "; nothing was written\n";
    return s.tell(stocktake_sheet_page(book, count, options));
}

int stocktake_weigh(const Session& s, const StocktakeCommandOptions& o) {
    StocktakeFound found;
    found.cylinder = s.need(o.id, "ID", "cylinder");
    found.cap = word_of(o.cap, "--cap", {"on", "off"});
    if (o.label) found.label = std::string(s.refrigerant(*o.label)->designation);
    found.pressure = o.pressure;
    found.temperature = o.temperature;
    found.not_in_the_book = o.not_in_the_book;
    return record_found(s, o, std::move(found));
}

int stocktake_missing(const Session& s, const StocktakeCommandOptions& o) {
    StocktakeFound found;
    found.cylinder = s.need(o.id, "ID", "cylinder");
    found.missing = true;
    return record_found(s, o, std::move(found));
}

int stocktake_read(const Session& s, const StocktakeCommandOptions& o) {
    auto book = s.open(Access::write);
    const auto count = must(stocktake_named(book, o.count, true));
    StocktakeReadOptions options{s.now, s.by, s.at, s.scale, {}};
    if (s.has_terminal && !count.what().blind) options.ask = ask_finding;
    const auto done = read_stocktake(book, count, *o.file, options);
    if (!done) {
        AfterProblems after;
        after.next = "mend the rows, then read the file again: nothing comes in twice";
        return tell_file_problems(s, done.error(), *o.file, after);
    }
    book.hold_still();
    const auto page = s.page_options(&book);
    if (page.format != Format::text) return s.tell(stocktake_page(book, count, page));
    if (done->rows == 0)
        std::cout << "no row has a weight, or missing or unknown under seen; nothing was written\n";
    else if (done->recorded.only_already())
        std::cout << fmt::format("already recorded: {}; nothing was written\n", so_many(done->rows, "row"));
    else
        std::cout << fmt::format("{}: {} recorded, {} recorded already\n", so_many(done->rows, "row"),
                                 so_many(done->recorded.events.size(), "event"), done->recorded.already_count);
    std::cout << "\n";
    return s.tell(stocktake_page(book, count, page));
}

int stocktake_sheet(const Session& s, const StocktakeCommandOptions& o) {
    const auto book = s.open(Access::read);
    return s.tell(stocktake_sheet_page(book, must(stocktake_named(book, o.count, false)), s.report_options(book)));
}

// Resolutions, with this reason, of the exceptions about that cylinder's weight in this stocktake.
std::vector<What> resolved_by(const Book& book, const KnownStocktake& count, const std::string& cylinder,
                              const std::string& why) {
    std::vector<What> out;
    for (const auto& open : book.open_findings(cylinder)) {
        const auto stored = open.finding.check == "gap" ? book.event(open.event_id) : std::nullopt;
        if (stored && stocktake_named_by(stored->event) == count.id()) out.emplace_back(kinds::Resolve{open.id, why});
    }
    return out;
}

// RC-05="valve was open" as cylinder and reason.
std::vector<std::pair<std::string, std::string>> reasons_of(const std::vector<std::string>& typed) {
    std::vector<std::pair<std::string, std::string>> out;
    for (const auto& words : typed) {
        const auto split = words.find('=');
        if (split == 0 || split == std::string::npos || split + 1 == words.size())
            throw slip("reason-form", "a reason names its cylinder", words, "--reason RC-05=\"valve was open\"");
        out.emplace_back(words.substr(0, split), words.substr(split + 1));
    }
    return out;
}

int stocktake_close(const Session& s, const StocktakeCommandOptions& o) {
    const auto reasons = reasons_of(o.reasons);
    auto book = s.open_for_page();
    const auto count = must(stocktake_named(book, o.count, false));
    const auto close = s.draft(book, kinds::StocktakeClose{count.id(), o.second_person});
    const auto drafts = [&]() -> Result<std::vector<Event>> {
        std::vector<Event> out;
        for (const auto& [cylinder, why] : reasons) {
            out.push_back(s.like(close, kinds::StocktakeReason{count.id(), cylinder, why}));
            for (auto& resolved : resolved_by(book, count, cylinder, why))
                out.push_back(s.like(close, std::move(resolved)));
        }
        out.push_back(close);
        return out;
    };
    if (const auto recorded = record_made(book, drafts, {.anyway = s.anyway}); !recorded) throw Stop{recorded.error()};
    book.hold_still();
    const auto closed = must(stocktake_named(book, count.begin.name, true));
    return s.tell(stocktake_page(book, closed, s.report_options(book)));
}

}  // namespace

int show_stocktake(const Session& s, const Text& count) {
    const auto book = s.open(Access::read);
    return s.tell(stocktake_page(book, must(stocktake_named(book, count, true)), s.report_options(book)));
}

void setup_stocktake_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<StocktakeCommandOptions>();
    auto* group = root.add_subcommand("count", "the cylinders of a place against the scale")
                      ->require_subcommand(1)
                      ->fallthrough();
    auto command = [&](const char* name, const char* help, int (*run)(const Session&, const StocktakeCommandOptions&)) {
        auto* c = group->add_subcommand(name, help)->fallthrough();
        c->callback([&s, o, run] { s.run = [&s, o, run] { return run(s, *o); }; });
        return c;
    };
    const auto which = [&](CLI::App* c) {
        c->add_option("--count", o->count, "which count, by the event that began it: E31 (the one that is open)");
    };
    auto* c = command("begin", "open a count of a place, and print its sheet: text, html to print, csv to fill in",
                      stocktake_begin);
    c->add_option("--place", o->place, "place of the cylinders");
    c->add_flag("--blind", o->blind, "without what the book expects");
    add_recording_options(*c, s, "--by", Work::at_the_desk);
    c = command("weigh", "what the scale shows of a cylinder; one that the book has elsewhere is moved here",
                stocktake_weigh);
    c->add_option("id", o->id, "cylinder");
    c->add_option("--gross", o->gross, "what the scale shows");
    c->add_option("--cap", o->cap, "on|off: the cap over its valve");
    c->add_option("--label", o->label, "the refrigerant that its label says");
    c->add_option("--pressure", o->pressure, "what a gauge shows: 142psig");
    c->add_option("--temperature", o->temperature, "of the cylinder: 75F");
    c->add_flag("--not-in-the-book", o->not_in_the_book, "it is there, and the register has no such cylinder");
    which(c);
    add_recording_options(*c, s, "--by", Work::at_the_desk);
    c = command("missing", "a cylinder that was looked for and is not there", stocktake_missing);
    c->add_option("id", o->id, "cylinder");
    which(c);
    add_recording_options(*c, s, "--by", Work::at_the_desk);
    c = command("read",
                "the filled-in sheet as CSV: all its rows or none; the same rows again change nothing. Columns:\n"
                "  count, cylinder, gross, and where they are known scale, cap (on|off), seen (missing|unknown),\n"
                "  label, pressure, temperature, at, note",
                stocktake_read);
    c->add_option("file", o->file, "the sheet (CSV, UTF-8)")->required();
    which(c);
    c->add_option("--at", s.at, "when, of rows that do not say it (now)");
    c->add_option("--by", s.by, "technician, as registered");
    c->add_option("--scale", s.scale, "scale, of rows that do not say it");
    c = command("sheet", "what is still to be weighed, with blanks to fill in", stocktake_sheet);
    which(c);
    c = command("show", "what came of a count: the one that is open, else the latest",
                [](const Session& session, const StocktakeCommandOptions& options) {
                    return show_stocktake(session, options.count);
                });
    which(c);
    c = command("close", "end a count: reasons, who else saw it, what was not counted", stocktake_close);
    c->add_option("--second-person", o->second_person, "who saw it, beside who closes it");
    c->add_option("--reason", o->reasons, "why a cylinder was not as the book had it: RC-05=TEXT; resolves its gap");
    which(c);
    add_recording_options(*c, s, "--by", Work::at_the_desk);
}

}  // namespace tarebook::cli
