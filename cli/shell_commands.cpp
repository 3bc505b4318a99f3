// For shells and readers: completion, man, and the hidden command that a completing shell calls.
#include <iostream>
#include <memory>

#include "completion.hpp"
#include "exit_code.hpp"
#include "terminal.hpp"

namespace tarebook::cli {
namespace {

int complete(const CLI::App& root, const Session& s, const std::vector<std::string>& words) {
    if (words.empty()) return exit_usage;
    const auto& shell = words.front();
    for (const auto& c : candidates(root, s, {words.begin() + 1, words.end()})) {
        // zsh separates a word from its help by a colon.
        for (const char letter : c.word)
            std::cout << (letter == ':' && shell == "zsh" ? "\\:" : std::string(1, letter));
        if (!c.help.empty() && shell == "fish") std::cout << '\t' << c.help;
        if (!c.help.empty() && shell == "zsh") std::cout << ':' << c.help;
        std::cout << '\n';
    }
    return exit_done;
}

}  // namespace

void setup_shell_commands(CLI::App& root, Session& s) {
    auto shell = std::make_shared<std::string>();
    auto* c = root.add_subcommand("completion", "a script that makes a shell complete commands, options and IDs")
                  ->fallthrough();
    c->add_option("shell", *shell, "bash|zsh|fish")->required();
    c->callback([&s, shell] {
        s.run = [shell] {
            const auto script = completion_script(*shell);
            if (script.empty())
                throw slip("word-unknown", "there is no completion for this shell", *shell, "bash|zsh|fish");
            leave_stdout_as_it_is();
            std::cout << script;
            return static_cast<int>(exit_done);
        };
    });
    c = root.add_subcommand("man", "all of this as a page for man(1)")->fallthrough();
    c->callback([&s, &root] {
        s.run = [&root] {
            leave_stdout_as_it_is();
            std::cout << man_page(root);
            return static_cast<int>(exit_done);
        };
    });
    // Called by the scripts above, not by people: no help lists it.
    c = root.add_subcommand("complete", "")->group("");
    c->prefix_command();
    c->callback([&s, &root, c] {
        s.run = [&s, &root, c] {
            leave_stdout_as_it_is();
            return complete(root, s, c->remaining());
        };
    });
}

}  // namespace tarebook::cli
