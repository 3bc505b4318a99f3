// import cylinders, sites, movements --map, import work: a person's own file, read through a mapping; import blank.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iostream>
#include <nlohmann/json.hpp>

#include "exit_code.hpp"
#include "file_problems.hpp"
#include "import_options.hpp"
#include "tarebook/exchange/mapped_import.hpp"
#include "tarebook/report/sealed_years.hpp"
#include "tarebook/units/word_list.hpp"
#include "terminal.hpp"

namespace tarebook::cli {
namespace {

// "6 cylinders, 1 loss"
std::string counts(const std::map<std::string, std::size_t>& by_kind) {
    struct Noun {
        std::string_view kind, one, more;
    };
    static constexpr std::array nouns = {Noun{"opening", "opening stock", "opening stocks"},
                                         Noun{"weigh", "weighing", "weighings"},
                                         Noun{"receive", "purchase", "purchases"},
                                         Noun{"recover", "recovery", "recoveries"}, Noun{"release", "loss", "losses"}};
    std::string out;
    for (const auto& [kind, n] : by_kind) {
        std::string noun = n == 1 ? kind : kind + "s";
        for (const auto& known : nouns)
            if (known.kind == kind) noun = n == 1 ? known.one : known.more;
        add_word(out, fmt::format("{} {}", n, noun));
    }
    return out;
}

// "tare of 1, test date of 2"
std::string fields_of(const std::map<std::string, std::size_t>& by_field) {
    std::string out;
    for (const auto& [field, n] : by_field) {
        std::string words = field;
        std::replace(words.begin(), words.end(), '_', ' ');
        add_word(out, fmt::format("{} of {}", words, n));
    }
    return out;
}

std::size_t sum(const std::map<std::string, std::size_t>& by_word) {
    std::size_t out = 0;
    for (const auto& [word, n] : by_word) out += n;
    return out;
}

void tell_json(const MappedImport& r, bool dry_run, const std::vector<SealedYear>& amended) {
    nlohmann::ordered_json j;
    j["schema_version"] = page_schema_version;
    j["page"] = "import";
    j["dry_run"] = dry_run;
    j["rows"] = r.rows;
    j["skipped"] = r.skipped;
    j["new"] = nlohmann::ordered_json(r.new_by_kind);
    j["already_recorded"] = r.already;
    j["missing_by_field"] = nlohmann::ordered_json(r.not_said);
    auto first = nlohmann::ordered_json::array();
    for (const auto& line : r.first) first.push_back({{"line", line.line}, {"text", line.words}});
    j["first_lines"] = std::move(first);
    j["number_of_problems"] = r.problems.count;
    j["number_of_exceptions"] = r.exceptions;
    j["amended_sealed_years"] = sealed_years_json(amended);
    j["head"] = nullptr;
    if (!dry_run) {
        j["head"] = {{"seq", r.head.seq}, {"digest", hex(r.head.digest)}};
    }
    std::cout << j.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) << '\n';
}

void tell_csv(const MappedImport& r, bool dry_run) {
    std::cout << "dry_run,rows,new,already,problems,exceptions\n"
              << fmt::format("{},{},{},{},{},{}\n", dry_run ? "yes" : "no", r.rows, sum(r.new_by_kind), r.already,
                             r.problems.count, r.exceptions);
}

void tell_text(const MappedImport& r, bool dry_run) {
    auto rows = fmt::format("{} row{}", r.rows, r.rows == 1 ? "" : "s");
    if (r.skipped > 0) rows += fmt::format(", {} left out by skip", r.skipped);
    if (r.new_by_kind.empty()) {
        std::cout << (r.already > 0 ? fmt::format("{}: all of it is on record already; nothing {} written\n", rows,
                                                  dry_run ? "would be" : "was")
                                    : fmt::format("{}: nothing to record; nothing was written\n", rows));
        return;
    }
    if (!r.problems.empty())
        std::cout << fmt::format(
            "{}: nothing would be recorded before {} mended; then {}", rows,
            r.problems.count == 1 ? "1 problem is" : fmt::format("{} problems are", r.problems.count),
            counts(r.new_by_kind));
    else
        std::cout << fmt::format("{}: {} {}", rows, dry_run ? "would record" : "recorded", counts(r.new_by_kind));
    if (r.already > 0) std::cout << fmt::format("; {} on record already", r.already);
    std::cout << '\n';
    if (!r.not_said.empty()) std::cout << "not on record then: " << fields_of(r.not_said) << '\n';
    if (dry_run) {
        for (const auto& line : r.first) std::cout << fmt::format("  line {}: {}\n", line.line, line.words);
        if (sum(r.new_by_kind) > r.first.size())
            std::cout << fmt::format("  and {} more\n", sum(r.new_by_kind) - r.first.size());
        if (r.exceptions > 0)
            std::cout << fmt::format("would find {} exception{}:\n", r.exceptions, r.exceptions == 1 ? "" : "s");
        for (const auto& line : r.first_exceptions) std::cout << fmt::format("  line {}: {}\n", line.line, line.words);
        if (r.exceptions > r.first_exceptions.size())
            std::cout << fmt::format("  and {} more\n", r.exceptions - r.first_exceptions.size());
        std::cout << "a dry run: nothing was written\n";
        return;
    }
    if (r.exceptions > 0)
        std::cout << fmt::format("{} exception{}: tarebook list exceptions\n", r.exceptions,
                                 r.exceptions == 1 ? "" : "s");
    std::cout << fmt::format("head: {} {}\n", event_name(r.head.seq), hex(r.head.digest).substr(0, 16));
}

void tell(const Session& s, const Book& book, const MappedImport& r, bool dry_run) {
    const auto amended = sealed_among(book, r.years);
    if (s.format == "json") {
        tell_json(r, dry_run, amended);
    } else if (s.format == "csv") {
        tell_csv(r, dry_run);
    } else {
        tell_text(r, dry_run);
        std::cout << amended_text(amended);
    }
}

void add_map_command(CLI::App& group, Session& s, MapKind kind, const char* help, const char* file_help) {
    auto o = std::make_shared<MapOptions>();
    auto* c = group.add_subcommand(std::string(text_of(kind)), help)->fallthrough();
    c->add_option("file", o->file, file_help)->required();
    add_map_options(*c, *o);
    c->add_option("--anyway", s.anyway, "reason: record what would be refused, because it did happen");
    c->callback([&s, o, kind] { s.run = [&s, o, kind] { return import_by_map(s, kind, *o); }; });
}

}  // namespace

nlohmann::ordered_json sealed_years_json(const std::vector<SealedYear>& years) {
    auto out = nlohmann::ordered_json::array();
    for (const auto& y : years)
        out.push_back({{"year", y.year}, {"sealed_by", y.name}, {"sealed_on", date_text(y.seal.event.when.date())}});
    return out;
}

void add_map_options(CLI::App& command, MapOptions& words) {
    command.add_option(
        "--map", words.map,
        "which column is which field, in what units and words (YAML; import blank writes one to start from)");
    command.add_flag("--dry-run", words.dry_run, "list every problem and what would be recorded; write nothing");
}

int import_by_map(const Session& s, MapKind kind, const MapOptions& o) {
    // The columns of a list of work have names of their own, as a job sheet's keys.
    if (!o.map && kind != MapKind::work)
        throw slip("flag-missing", "--map is missing: it says which column is which field", {}, "--map FILE.yaml",
                   fmt::format("tarebook import blank {} {} > map.yaml", text_of(kind), o.file));
    if (o.dry_run) static_cast<void>(s.open(Access::read));  // a dry run does not upgrade an older book
    auto book = s.open(Access::write);
    MappedOptions options;
    options.dry_run = o.dry_run;
    options.anyway = s.anyway;
    options.now = s.now;
    const auto done = import_mapped(book, kind, o.file, o.map.value_or(""), options);
    if (done.problems.empty()) {
        tell(s, book, done, o.dry_run);
        if (!o.dry_run) s.judge_on(book);
        const auto page = s.page_options(&book);
        auto& cautions = page.format == Format::text ? std::cout : std::cerr;  // the page for a program stays valid
        for (const auto& cylinder : done.cylinders) cautions << over_the_limit(book, cylinder, page);
        return done.exceptions > 0 ? exit_exceptions : exit_done;
    }
    if (o.dry_run && done.rows > 0) tell(s, book, done, true);
    AfterProblems after;
    after.next = "mend the file or the mapping, then import it again: nothing comes in twice";
    if (!s.anyway) after.if_it_did_happen = "what did happen is imported with the reason: --anyway \"reason\"";
    const int code = tell_file_problems(s, done.problems, o.file, after);
    return o.dry_run ? exit_refused : code;  // a dry run that found a problem of any kind
}

void setup_mapped_imports(CLI::App& group, Session& s) {
    add_map_command(
        group, s, MapKind::cylinders,
        "a list of cylinders as CSV, through a mapping: the register, and opening stock as counted on a day",
        "the list (CSV, UTF-8)");
    add_map_command(group, s, MapKind::sites, "a list of sites, appliances, circuits as CSV, through a mapping",
                    "the list (CSV, UTF-8)");
    add_map_command(
        group, s, MapKind::work,
        "work that moved no gas, as CSV, all rows or none. The first row names the columns:\n"
        "  kind (pressure-test|oil|filter-drier|identify|compressor), date (2026-11-25), time (14:30),\n"
        "  site, appliance, circuit, cylinder, machine, and the keys of a job sheet's line with _ for -:\n"
        "  pressure, held, end, temperature, end_temperature, gas, result, out, in, oil, grade, acid_test,\n"
        "  fitted, fitted_serial, removed, removed_serial, refrigerant, parts, air, instrument, of, why;\n"
        "  technician, job, note. With --map, the columns of your own file",
        "the list (CSV, UTF-8)");
    auto o = std::make_shared<MapOptions>();
    auto kind = std::make_shared<std::string>();
    auto* blank = group.add_subcommand("blank", "a mapping to start from: columns filled in where names are alike")
                      ->fallthrough();
    blank->add_option("kind", *kind, "cylinders|sites|movements|work: what the file lists")->required();
    blank->add_option("file", o->file, "the list (CSV, UTF-8)")->required();
    blank->callback([&s, o, kind] {
        s.run = [o, kind] {
            const auto known = map_kind_from(*kind);
            if (!known)
                throw slip("word-unknown", fmt::format("\"{}\" cannot be imported", *kind), *kind,
                           "cylinders|sites|movements|work");
            leave_stdout_as_it_is();
            std::cout << must(blank_map(*known, o->file));
            return exit_done;
        };
    });
}

}  // namespace tarebook::cli
