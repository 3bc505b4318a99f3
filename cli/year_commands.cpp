// A calendar year of the book: its balances.
#include "year_commands.hpp"

#include "progress.hpp"

#include <charconv>
#include <iostream>
#include <memory>

#include "exit_code.hpp"
#include "sheets.hpp"
#include "tarebook/report/retention_page.hpp"

namespace tarebook::cli {

std::chrono::year year_typed(const std::string& text) {
    int y = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), y);
    if (error != std::errc() || end != text.data() + text.size() || y < 1900 || y > 9999)
        throw slip(
            "year-format", "cannot read the year", text, "four digits, such as 2026",
            text.size() == 2 && error == std::errc() && end == text.data() + 2 ? "did you mean 20" + text + "?" : "");
    return std::chrono::year(y);
}

namespace {

struct YearOptions {
    std::string year;
    Text owner, site;
    std::string to;
    PageFile sheets;
};

void add_scope(CLI::App& c, const std::shared_ptr<YearOptions>& o) {
    c.add_option("year", o->year, "four digits; an event is of the year of its local date")->required();
    c.add_option("--owner", o->owner, "only what is this owner's");
    c.add_option("--site", o->site, "only what went into and out of this site's equipment");
}

}  // namespace

void add_report_year(CLI::App& report, Session& s) {
    auto o = std::make_shared<YearOptions>();
    auto* c =
        report.add_subcommand("year", "a year in balances: stock, equipment, what was lost, t CO2e")->fallthrough();
    add_scope(*c, o);
    o->sheets.add_option(*c);
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto year = year_typed(o->year);
            const auto book = s.open(Access::read);
            const auto options = o->sheets.options(s, book);
            return o->sheets.tell(s, must(year_page(book, {year, o->owner, o->site}, options)));
        };
    });
    auto* retention =
        report.add_subcommand("retention", "how long which records are kept, and which years may be archived")
            ->fallthrough();
    auto file = std::make_shared<PageFile>();
    file->add_option(*retention);
    retention->callback([&s, file] {
        s.run = [&s, file] {
            const auto book = s.open(Access::read);
            const auto options = file->options(s, book, Has::browser);
            return file->tell(s, retention_page(book, options));
        };
    });
}

void add_export_year(CLI::App& exported, Session& s) {
    auto o = std::make_shared<YearOptions>();
    auto* c =
        exported
            .add_subcommand("year", "a year as a folder: CSV tables with a data package, a page to print, a manifest")
            ->fallthrough();
    add_scope(*c, o);
    c->add_option("--to", o->to, "folder; it must not be there yet, or be empty")->required();
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto year = year_typed(o->year);
            const auto book = s.open(Access::read);
            ProgressLine progress("exporting");
            auto files = export_year(book, {year, o->owner, o->site}, o->to, progress.shown());
            progress.clear();
            const auto done = must(std::move(files));
            std::cout << o->to << ": " << done.events << " events in " << done.files
                      << " files; summary.html is the page to print\n"
                      << "SHA-256 of SHA256SUMS: " << done.sums_sha256 << "\n";
            return exit_done;
        };
    });
}

void setup_year_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<YearOptions>();
    auto* c = root.add_subcommand("seal",
                                  "close a year: its heads, balances and Merkle root go on record; later entries are "
                                  "amendments")
                  ->fallthrough();
    c->add_option("year", o->year, "four digits; the year must be over")->required();
    add_recording_options(*c, s, "--by", Work::at_the_desk);
    c->callback([&s, o] {
        s.run = [&s, o] {
            const auto year = year_typed(o->year);
            auto book = s.open(Access::write);
            s.judge_first(book);
            const auto draft = s.draft(book, kinds::Seal{});
            return s.record_and_tell(book, [&]() -> Result<std::vector<Event>> {
                auto seal = year_seal(book, year, s.now);
                if (!seal) return fail(std::move(seal.error()));
                return std::vector{s.like(draft, std::move(*seal))};
            });
        };
    });
}

}  // namespace tarebook::cli
