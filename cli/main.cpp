// The program: parses words, runs one command, tells errors. Exit codes are in exit_code.hpp.
#include <fmt/format.h>
#include <unistd.h>

#include <chrono>
#include <cstdlib>
#include <iostream>

#include "exit_code.hpp"
#include "session.hpp"
#include "tarebook/nearest.hpp"

namespace tarebook::cli {
namespace {

// refused: what
//   seen ...; expected ... Nothing was written.
//   next: what to do now
int tell_error(const Error& e) {
    std::cerr << (e.kind == ErrorKind::usage ? "cannot take that: " : "refused: ") << e.what << "\n";
    std::string line;
    if (!e.seen.empty()) line += "seen " + e.seen;
    if (!e.expected.empty()) line += (line.empty() ? "expected " : "; expected ") + e.expected;
    std::cerr << "  " << line << (line.empty() ? "" : ". ") << "Nothing was written.\n";
    if (!e.next.empty()) std::cerr << "  next: " << e.next << "\n";
    return e.kind == ErrorKind::usage ? exit_usage : e.kind == ErrorKind::refused ? exit_refused : exit_storage;
}

std::vector<std::string> names_of(const CLI::App& app) {
    std::vector<std::string> out;
    for (const auto* sub : app.get_subcommands([](const CLI::App*) { return true; }))
        if (!sub->get_name().empty()) out.push_back(sub->get_name());
    return out;
}

// A misspelt command names the nearest one, at each level where a command is due.
std::optional<Error> unknown_command(const CLI::App& root, const std::vector<std::string>& words) {
    const CLI::App* level = &root;
    for (std::size_t i = 1; i < words.size(); ++i) {
        const auto& word = words[i];
        if (word.starts_with('-')) {
            if (word == "--book" || word == "--units" || word == "--format") ++i;
            continue;
        }
        const auto names = names_of(*level);
        if (names.empty()) return std::nullopt;
        if (std::find(names.begin(), names.end(), word) == names.end()) {
            const auto near = nearest(word, names);
            return Error{ErrorKind::usage,
                         "command-unknown",
                         fmt::format("there is no command {}", word),
                         word,
                         "a command of tarebook",
                         near.empty() ? "tarebook --help" : fmt::format("did you mean {}?", near)};
        }
        level = level->get_subcommand(word);
    }
    return std::nullopt;
}

Instant clock_now() {
    // Tests and the demo set the clock; the book keeps what the clock said as "recorded".
    if (const char* set = std::getenv("TAREBOOK_NOW"))
        if (const auto at = instant_from_text(set)) return *at;
    return std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now());
}

int run(int argc, char** argv) {
    Session s;
    for (int i = 0; i < argc; ++i) s.words.emplace_back(argv[i]);
    s.words[0] = "tarebook";
    s.now = clock_now();
    s.has_terminal = isatty(STDIN_FILENO) != 0 && isatty(STDERR_FILENO) != 0;

    CLI::App app{
        "A shop's refrigerant recovery and handling book. It informs; local codes and the licensed person decide."};
    app.name("tarebook");
    app.require_subcommand(1);
    app.set_version_flag("--version", TAREBOOK_VERSION);
    app.add_option("--book", s.book_file, "the book's file (TAREBOOK, or the data folder)");
    app.add_option("--units", s.units, "lb|kg")->check(CLI::IsMember({"lb", "kg"}));
    app.add_option("--format", s.format, "text|json|csv")->check(CLI::IsMember({"text", "json", "csv"}));
    setup_register_commands(app, s);
    setup_movement_commands(app, s);
    setup_standing_commands(app, s);
    setup_correction_commands(app, s);
    setup_report_commands(app, s);
    setup_job_commands(app, s);
    setup_import_commands(app, s);
    if (const auto error = unknown_command(app, s.words)) return tell_error(*error);
    try {
        app.parse(argc, argv);
    } catch (const CLI::Success& e) {
        return app.exit(e);
    } catch (const CLI::ParseError& e) {
        std::string command = "tarebook";
        for (const CLI::App* at = &app; at;) {
            const auto used = at->get_subcommands();
            at = used.empty() ? nullptr : used.front();
            if (at) command += " " + at->get_name();
        }
        return tell_error({ErrorKind::usage, "words", e.what(), {}, {}, command + " --help"});
    }
    return s.run();
}

}  // namespace
}  // namespace tarebook::cli

int main(int argc, char** argv) {
    using namespace tarebook;
    try {
        return cli::run(argc, argv);
    } catch (const cli::Stop& stop) {
        return cli::tell_error(stop.error);
    } catch (const StorageError& e) {
        std::cerr << "failed: " << e.what() << "\n";
        if (!e.next().empty()) std::cerr << "  next: " << e.next() << "\n";
        return cli::exit_storage;
    } catch (const std::overflow_error& e) {
        return cli::tell_error({ErrorKind::usage, "too-large", e.what(), {}, "masses that add up to less", {}});
    } catch (const std::exception& e) {
        std::cerr << "failed: this should not have happened (" << e.what() << "). Nothing was written.\n"
                  << "  next: keep the book's file and tell us the words of the command\n";
        return cli::exit_storage;
    }
}
