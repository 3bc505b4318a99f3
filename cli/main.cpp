// The program: parses the words, runs one command, shows errors. Exit codes are in exit_code.hpp.
#include <fmt/format.h>
#include <malloc.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <iostream>
#include <nlohmann/json.hpp>
#include <span>
#include <string_view>

#include "clock.hpp"
#include "command_table.hpp"
#include "examples.hpp"
#include "exit_code.hpp"
#include "help.hpp"
#include "passphrase.hpp"
#include "session.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/refused.hpp"
#include "tarebook/units/word_list.hpp"
#include "tarebook/version.hpp"
#include "terminal.hpp"
#include "wait.hpp"

namespace tarebook::cli {
namespace {

// The value of --format by the words alone, because an error may come before they are parsed.
std::string_view format_asked(std::span<char*> words) {
    std::string_view format = "text";
    for (std::size_t i = 1; i < words.size(); ++i) {
        const std::string_view word = words[i];
        constexpr std::string_view joined = "--format=";
        if (word == "--format" && i + 1 < words.size()) format = words[i + 1];
        if (word.starts_with(joined)) format = word.substr(joined.size());
    }
    return format;
}

struct Teller {
    bool json = false;

    // refused: what
    //   seen ...; expected ... Nothing was written.
    //   next: what to do now
    [[nodiscard]] int error(const Error& e) const {
        const int code = e.kind == ErrorKind::usage     ? exit_usage
                         : e.kind == ErrorKind::refused ? exit_refused
                                                        : exit_storage;
        if (json) {
            object(e, Written::no);
            return code;
        }
        std::cerr << (e.kind == ErrorKind::usage ? "cannot take that: " : "refused: ") << e.what << "\n";
        std::string line;
        if (!e.seen.empty()) line += "seen " + e.seen;
        if (!e.expected.empty()) line += (line.empty() ? "expected " : "; expected ") + e.expected;
        std::cerr << "  " << line << (line.empty() ? "" : ". ") << "Nothing was written.\n";
        if (!e.next.empty()) std::cerr << "  next: " << e.next << "\n";
        return code;
    }
    // Precondition: `what` states whether anything was written.
    [[nodiscard]] int failure(const char* name, const std::string& what, const std::string& next,
                              Written written) const {
        if (json) {
            object({ErrorKind::storage, name, what, {}, {}, next}, written);
        } else {
            std::cerr << "failed: " << what << "\n";
            if (!next.empty()) std::cerr << "  next: " << next << "\n";
        }
        return exit_storage;
    }

 private:
    // Writes one JSON object to stderr. Empty keys stay, so that a script finds every key.
    static void object(const Error& e, Written written) {
        nlohmann::ordered_json j;
        j["schema_version"] = page_schema_version;
        j["page"] = "error";
        j["error"] = e.name;
        j["kind"] = e.kind == ErrorKind::usage ? "usage" : e.kind == ErrorKind::refused ? "refused" : "storage";
        j["what"] = e.what;
        j["seen"] = e.seen;
        j["expected"] = e.expected;
        j["next"] = e.next;
        if (written == Written::unknown)
            j["written"] = nullptr;
        else
            j["written"] = written == Written::yes;
        // The command line may have bytes that are no UTF-8; the JSON of the message must be valid.
        std::cerr << j.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) << "\n";
    }
};

std::vector<std::string> names_of(const CLI::App& app) {
    std::vector<std::string> out;
    for (const auto* sub : app.get_subcommands([](const CLI::App*) { return true; }))
        if (!sub->get_name().empty()) out.push_back(sub->get_name());
    return out;
}

// What people type for a command that has another name.
struct OtherName {
    std::string_view typed, command;
};
constexpr std::array other_names{OtherName{"late", "tarebook due"},
                                 OtherName{"overdue", "tarebook due"},
                                 OtherName{"clocks", "tarebook due"},
                                 OtherName{"deadlines", "tarebook due"},
                                 OtherName{"calendar", "tarebook due"},
                                 OtherName{"statements", "tarebook due"},
                                 OtherName{"statement", "tarebook due"},
                                 OtherName{"inspections", "tarebook due"},
                                 OtherName{"requalification", "tarebook due"},
                                 OtherName{"heel", "tarebook due"},
                                 OtherName{"put-back", "tarebook due"},
                                 OtherName{"today", "tarebook"},
                                 OtherName{"day", "tarebook"},
                                 OtherName{"status", "tarebook"},
                                 OtherName{"stocktake", "tarebook count"},
                                 OtherName{"undo", "tarebook void"},
                                 OtherName{"exception", "tarebook list exceptions"}};

// The commands that a word may mean which is none itself: a page is often called without the command that shows it, or
// behind another one. Those that show come first.
std::vector<std::string> commands_called(const CLI::App& root, const std::string& word) {
    std::vector<std::string> shown, others;
    for (const auto& command : names_of(root)) {
        if (command == word) others.push_back("tarebook " + command);
        for (const auto& below : names_of(*root.get_subcommand(command)))
            if (below == word)
                (command == "report" || command == "list" ? shown : others)
                    .push_back(fmt::format("tarebook {} {}", command, below));
    }
    for (const auto& other : other_names)
        if (other.typed == word && shown.empty() && others.empty()) shown.emplace_back(other.command);
    shown.insert(shown.end(), others.begin(), others.end());
    return shown;
}
std::string meant_command(const CLI::App& root, const std::string& word, const std::vector<std::string>& names) {
    constexpr std::size_t most = 3;
    auto called = commands_called(root, word);
    if (called.empty()) {
        auto near = nearest(word, names);
        if (!near.empty()) return "did you mean " + near + "?";
        std::vector<std::string> pages;
        for (const auto& above : names_of(root))  // a parser of one group may have neither of them
            if (above == "report" || above == "list")
                for (const auto& page : names_of(*root.get_subcommand(above))) pages.push_back(page);
        near = nearest(word, pages);
        if (near.empty()) return "tarebook --help";
        called = commands_called(root, near);
    }
    if (called.size() > most) called.resize(most);
    return joined(called, ", or ");
}

// Names the nearest command for a mistyped one, at each level that expects a command.
std::optional<Error> unknown_command(const CLI::App& root, const std::vector<std::string>& words) {
    const CLI::App* level = &root;
    for (std::size_t i = 1; i < words.size(); ++i) {
        const auto& word = words[i];
        // The words behind it are an incomplete line of a shell.
        if (word == "complete" && level == &root) return std::nullopt;
        if (word.starts_with('-')) {
            if (word == "--book" || word == "--refrigerants" || word == "--rules" || word == "--units" ||
                word == "--typist" || word == "--format")
                ++i;
            continue;
        }
        const auto names = names_of(*level);
        if (names.empty()) return std::nullopt;
        if (std::find(names.begin(), names.end(), word) == names.end()) {
            // A command without sub-commands on the line: the word may be the value of an option.
            if (level != &root && level->get_require_subcommand_min() == 0) return std::nullopt;
            return Error{ErrorKind::usage,
                         "command-unknown",
                         fmt::format("there is no command {}", word),
                         word,
                         "a command of tarebook",
                         meant_command(root, word, names)};
        }
        level = level->get_subcommand(word);
    }
    return std::nullopt;
}

std::string command_of(const CLI::App* used) {
    std::string command;
    for (; used; used = used->get_parent()) command = used->get_name() + (command.empty() ? "" : " ") + command;
    return command;
}

// The command that was typed, below those that it belongs to.
const CLI::App& deepest(const CLI::App& root) {
    const CLI::App* used = &root;
    for (auto below = used->get_subcommands(); !below.empty(); below = used->get_subcommands()) used = below.front();
    return *used;
}

// The parser's error in our words, with the nearest option if one is near.
Error unread_words(const CLI::App& root, const CLI::ParseError& e, const std::vector<std::string>& words) {
    const CLI::App* used = &deepest(root);
    const auto command = command_of(used);
    const auto help = command + " --help";
    if (dynamic_cast<const CLI::ExtrasError*>(&e)) {
        std::vector<std::string> options;
        for (const auto* app = used; app; app = app->get_parent())
            for (const auto* option : app->get_options())
                for (const auto& name : option->get_lnames()) options.push_back("--" + name);
        const auto extras = root.remaining(true);
        for (const auto& typed : words) {
            const auto option = typed.substr(0, typed.find('='));
            if (!option.starts_with("--") || std::find(options.begin(), options.end(), option) != options.end() ||
                std::find(extras.begin(), extras.end(), typed) == extras.end())
                continue;
            return {ErrorKind::usage, "option-unknown",          fmt::format("there is no option {}", option),
                    option,           "an option of " + command, did_you_mean(option, options, help)};
        }
        return {ErrorKind::usage,    "words", "a word too many, or words that want quotes around them",
                joined(extras, " "), {},      help};
    }
    std::string what = e.what();
    if (dynamic_cast<const CLI::ArgumentMismatch*>(&e) && what.starts_with("--"))
        what = what.substr(0, what.find(':')) + " needs a value";
    if (dynamic_cast<const CLI::RequiredError*>(&e) && what.find("subcommand") != std::string::npos)
        what = "a command is missing";
    return {ErrorKind::usage, "words", what, {}, {}, help};
}

// The words and the parser, with the commands of one group or of all.
struct TypedLine {
    Session s;
    CLI::App app{
        "A shop's refrigerant recovery and handling book. It informs; local codes and the licensed person decide."};

    TypedLine(std::span<char*> words, const CommandGroup* only) {
        s.words.assign(words.begin(), words.end());
        s.words[0] = "tarebook";
        s.now = std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now());
        s.clock_set = clock_that_is_set();
        if (s.clock_set && clock_may_be_set() == ClockOf::every_book) {
            s.now = *s.clock_set;
            s.clock_set.reset();
        }
        s.has_terminal = isatty(STDIN_FILENO) != 0 && isatty(STDERR_FILENO) != 0;
        app.name("tarebook");
        app.formatter(help_formatter());
        app.require_subcommand(0, 1);  // without one: the first screen of the day
        app.set_version_flag("--version", std::string(version));
        app.add_option("--book", s.book_file, "the book's file (TAREBOOK, or the data folder)");
        app.add_option("--rules", s.rules, "a rule pack of your own, for looking: due, why, report, export year");
        app.add_option("--refrigerants", s.refrigerants, "a file of your own refrigerants (TAREBOOK_REFRIGERANTS)");
        app.add_option("--typist", s.typist, "who types, as the shop writes it (TAREBOOK_TYPIST)");
        app.add_option("--units", s.units, "lb|kg")->check(CLI::IsMember({"lb", "kg"}));
        app.add_option("--format", s.format, "text|json|csv|html|xlsx")
            ->check(CLI::IsMember({"text", "json", "csv", "html", "xlsx"}));
        std::vector<std::string> listed;
        for (const auto& group : command_groups()) {
            if (only && &group != only) continue;
            group.setup(app, s);
            for (const auto& command : group.commands) {
                listed.emplace_back(command.name);
                app.get_subcommand(listed.back())->group(std::string(title_of(command.use)));
            }
        }
        if (names_of(app) != listed) throw std::logic_error("cli/command_table.cpp lists other commands");
        for (auto* command : app.get_subcommands([](const CLI::App*) { return true; }))
            if (const auto lines = examples_of(command->get_name()); !lines.empty())
                command->footer("Examples:\n" + std::string(lines));
    }

    // Whether the parser accepts the line. If not, the parser with all commands explains why.
    bool is_taken(std::span<char*> words) {
        if (unknown_command(app, s.words)) return false;
        try {
            app.parse(static_cast<int>(words.size()), words.data());
            return true;
        } catch (const CLI::Error&) {
            return false;
        }
    }
};

// Never freed: destroying a parser takes as long as opening the book.
TypedLine* typed_line = nullptr;

int run(std::span<char*> words, const Teller& tell) {
    const auto* group = group_named({words.begin(), words.end()});
    if (group && group->sees_all) group = nullptr;
    typed_line = new TypedLine(words, group);
    if (group && !typed_line->is_taken(words)) {
        delete typed_line;
        typed_line = new TypedLine(words, nullptr);
        group = nullptr;
    }
    auto& [s, app] = *typed_line;
    if (!group) {
        if (const auto error = unknown_command(app, s.words)) return tell.error(*error);
        try {
            app.parse(static_cast<int>(words.size()), words.data());
        } catch (const CLI::CallForHelp&) {
            std::cout << help_page(app);
            return exit_done;
        } catch (const CLI::Success& e) {
            return app.exit(e);
        } catch (const CLI::ParseError& e) {
            return tell.error(unread_words(app, e, s.words));
        }
    }
    try {
        if (const auto used = app.get_subcommands(); !used.empty()) s.command = used.front()->get_name();
        if (s.anyway) static_cast<void>(s.reason(s.anyway, "--anyway", "the reason, in words"));
        if (s.command != "doctor") s.config = read_config();  // doctor tells what is wrong with it
        s.take_reference_data();
        s.take_visit();
        s.take_config(deepest(app));
        return s.run ? s.run() : first_screen(s);
    } catch (const StorageError& e) {
        std::string what = e.what();
        if (s.means_to_write && e.written() == Written::no && what.find("Nothing was written") == std::string::npos)
            what += what.ends_with('.') ? " Nothing was written." : ". Nothing was written.";
        const int code = tell.failure("storage", what, e.next(), e.written());
        if (wait_was_interrupted()) {  // ends by the signal, so that a calling script ends too
            std::signal(SIGINT, SIG_DFL);
            static_cast<void>(std::raise(SIGINT));
        }
        return code;
    }
}

}  // namespace
}  // namespace tarebook::cli

int main(int argc, char** argv) {
    using namespace tarebook;
    cli::forbid_core_dumps();
#ifdef __GLIBC__
    // A long page is one growing text of megabytes: its memory is reused, and not returned to the kernel each time.
    mallopt(M_MMAP_THRESHOLD, 4 << 20);
    mallopt(M_TRIM_THRESHOLD, 32 << 20);
#endif
    const std::span words(argv, static_cast<std::size_t>(argc));
    const auto format = cli::format_asked(words);
    cli::show_letters(format);
    const cli::Teller tell{format == "json"};
    try {
        const int code = cli::run(words, tell);
        std::cerr.flush();
        if (std::cout.flush()) return code;
        return tell.failure("output",
                            "what there is to show could not be written: is the disk full? What was recorded "
                            "is in the book.",
                            "make room, or send it to another file, and ask again", Written::unknown);
    } catch (const cli::Stop& stop) {
        return tell.error(stop.error);
    } catch (const Refused& refused) {
        return tell.error(refused.error());
    } catch (const std::exception& e) {
        return tell.failure(
            "unforeseen", fmt::format("this should not have happened ({}).", e.what()),
            "keep the book's file and tell us the words of the command; tarebook check says whether the "
            "book is whole",
            Written::unknown);
    }
}
