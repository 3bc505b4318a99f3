// `export sqlite` and `export tables`: what a book says, for people who ask their own questions.
#include "analysis_commands.hpp"

#include <iostream>
#include <memory>

#include "exit_code.hpp"
#include "progress.hpp"
#include "tarebook/analysis/analysts_file.hpp"

namespace tarebook::cli {
namespace {

struct AnalysisOptions {
    std::string to;
    bool update = false;
};

int make_file(Session& s, const AnalysisOptions& o) {
    auto book = s.open(Access::read);
    book.hold_still();  // all rows are of one moment, while others record
    ProgressLine progress("exporting");
    auto written = o.update ? update_analysts_file(book, o.to, progress.shown())
                            : make_analysts_file(book, o.to, progress.shown());
    progress.clear();
    const auto done = must(std::move(written));
    std::cout << o.to << ": " << done.events << " events";
    if (o.update)
        std::cout << "; " << done.looked_at << " of them looked at, " << done.changed_rows << " rows written\n";
    else
        std::cout << "; no key is in it. Its views and columns: select * from column_list\n";
    return exit_done;
}

int make_folder(Session& s, const std::string& to) {
    auto book = s.open(Access::read);
    book.hold_still();
    ProgressLine progress("exporting");
    auto written = export_analysts_tables(book, to, progress.shown());
    progress.clear();
    std::cout << to << ": " << must(std::move(written)).events
              << " events; datapackage.json says what each column means\n";
    return exit_done;
}

}  // namespace

void add_analysis_exports(CLI::App& exported, Session& s) {
    auto o = std::make_shared<AnalysisOptions>();
    auto* c =
        exported.add_subcommand("sqlite", "tables for your own questions, as an SQLite file without the signing key")
            ->fallthrough();
    c->add_option("--to", o->to, "the file")->required();
    c->add_flag("--update", o->update, "bring the file up to date, in place: only what changed is written");
    c->callback([&s, o] { s.run = [&s, o] { return make_file(s, *o); }; });
    auto to = std::make_shared<std::string>();
    c = exported.add_subcommand("tables", "the same tables as a folder of CSV files with a data package")
            ->fallthrough();
    c->add_option("--to", *to, "folder; it must not be there yet, or be empty")->required();
    c->callback([&s, to] { s.run = [&s, to] { return make_folder(s, *to); }; });
}

}  // namespace tarebook::cli
