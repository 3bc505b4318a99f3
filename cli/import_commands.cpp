// import movements: a shop's old records, from spreadsheets saved as CSV.
#include <fmt/format.h>
#include <unistd.h>

#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>

#include "exit_code.hpp"
#include "file_problems.hpp"
#include "import_options.hpp"
#include "progress.hpp"
#include "session.hpp"
#include "tarebook/exchange/import.hpp"
#include "tarebook/report/sealed_years.hpp"

namespace tarebook::cli {
namespace {

struct ImportWords {
    std::string movements, owner;
    Text cylinders, circuits;
    bool add_to_register = false;
    MapOptions mapped;
};

std::string many(std::size_t n, const char* one, const char* more) {
    return fmt::format("{} {}", n, n == 1 ? one : more);
}

void tell_report(const Session& s, const ImportReport& r, const std::vector<SealedYear>& amended) {
    if (s.format == "json") {
        nlohmann::ordered_json j;
        j["schema_version"] = page_schema_version;
        j["page"] = "import-movements";
        j["rows"] = r.rows;
        j["recorded"] = r.recorded;
        j["already_recorded"] = r.already;
        j["entries_added"] = r.entries;
        j["number_of_exceptions"] = r.exceptions;
        j["amended_sealed_years"] = sealed_years_json(amended);
        j["head"] = {{"seq", r.head.seq}, {"digest", hex(r.head.digest)}};
        std::cout << j.dump(2) << '\n';
        return;
    }
    if (s.format == "csv") {
        std::cout << "rows,recorded,already_recorded,entries_added,exceptions\n"
                  << fmt::format("{},{},{},{},{}\n", r.rows, r.recorded, r.already, r.entries, r.exceptions);
        return;
    }
    if (r.recorded == 0 && r.entries == 0) {
        std::cout << (r.already > 0
                          ? fmt::format("already recorded: {}; nothing was written\n", many(r.already, "row", "rows"))
                          : std::string("no rows; nothing was written\n"));
        return;
    }
    std::cout << fmt::format("{}: {} recorded", many(r.rows, "row", "rows"), r.recorded);
    if (r.already > 0) std::cout << fmt::format(", {} recorded already", r.already);
    std::cout << '\n';
    if (r.entries > 0) std::cout << fmt::format("register: {} added\n", many(r.entries, "entry", "entries"));
    if (r.exceptions > 0)
        std::cout << fmt::format("{}: tarebook list exceptions\n", many(r.exceptions, "exception", "exceptions"));
    std::cout << fmt::format("head: {} {}\n", event_name(r.head.seq), hex(r.head.digest).substr(0, 16));
    std::cout << amended_text(amended);
}

int import(const Session& s, ImportWords& o) {
    if (o.mapped.map) {
        if (o.cylinders || o.circuits || o.add_to_register || !o.owner.empty())
            throw slip("flags-together", "what a mapped file refers to is on record before it", {},
                       "--map without --cylinders, --circuits, --register, --owner",
                       "tarebook import cylinders and tarebook import sites bring the register in");
        o.mapped.file = o.movements;
        return import_by_map(s, MapKind::movements, o.mapped);
    }
    if (o.mapped.dry_run) throw slip("flag-missing", "a dry run needs a mapping", "--dry-run", "--map FILE.yaml");
    if (!o.add_to_register && !o.owner.empty())
        throw slip("flag-missing", "--owner says whose the sites are that --register adds", o.owner,
                   "--register --owner NAME");
    auto book = s.open(Access::write);
    ImportFiles files{o.movements, {}, {}};
    if (o.cylinders) files.cylinders = *o.cylinders;
    if (o.circuits) files.circuits = *o.circuits;
    ImportOptions options;
    options.add_to_register = o.add_to_register;
    options.owner = o.owner;
    options.anyway = s.anyway;
    options.now = s.now;
    ProgressLine progress("importing");
    options.progress = progress.shown();
    const auto report = import_movements(book, files, options);
    progress.clear();
    if (!report) {
        AfterProblems after;
        after.next = "mend the file, then import it again: nothing comes in twice";
        if (!s.anyway) after.if_it_did_happen = "what did happen is imported with the reason: --anyway \"reason\"";
        return tell_file_problems(s, report.error(), o.movements, after);
    }
    tell_report(s, *report, sealed_among(book, report->years));
    s.judge_on(book);
    return report->exceptions > 0 ? exit_exceptions : exit_done;
}

}  // namespace

void setup_import_commands(CLI::App& root, Session& s) {
    auto* group = root.add_subcommand("import", "old records from files")->require_subcommand(1)->fallthrough();
    auto o = std::make_shared<ImportWords>();
    auto* c = group->add_subcommand(
        "movements",
        "movements as CSV, all rows or none; the same rows again change nothing. The first row names the columns:\n"
        "  kind (purchase|charge|recover|return|loss), date (2026-11-25), time (14:30 on the site's clock),\n"
        "  site, appliance, circuit, cylinder, refrigerant, gross_before_lb, gross_after_lb, technician, job;\n"
        "  note may be there too, and price (what a purchase cost: 412.50 USD, or 8.20 USD/lb). With --map, the "
        "columns of your own file");
    c->fallthrough();
    c->add_option("file", o->movements, "the movements (CSV, UTF-8)")->required();
    c->add_option("--cylinders", o->cylinders,
                  "CSV: cylinder, refrigerant, water_capacity_lb, tare_lb; size and max_net_lb are ignored");
    c->add_option("--circuits", o->circuits, "CSV: site, appliance, circuit, refrigerant, nameplate_lb");
    c->add_flag("--register", o->add_to_register,
                "add what the two files list and the book does not have, and the technicians of the rows");
    c->add_option("--owner", o->owner, "owner of the sites that are added");
    add_map_options(*c, o->mapped);
    c->add_option("--anyway", s.anyway, "reason: record what would be refused, because it did happen");
    setup_mapped_imports(*group, s);
    c->callback([&s, o] { s.run = [&s, o] { return import(s, *o); }; });
}

}  // namespace tarebook::cli
