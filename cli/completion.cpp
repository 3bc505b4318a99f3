#include "completion.hpp"

#include <algorithm>
#include <set>

#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

// The option of this name at this level or above, as options are accepted at both.
const CLI::Option* option_named(const CLI::App* level, const std::string& word) {
    const auto among = [&](const CLI::App& app) -> const CLI::Option* {
        for (const auto* option : app.get_options())
            if (option->check_name(word)) return option;
        return nullptr;
    };
    for (const auto* app = level; app; app = app->get_parent()) {
        if (const auto* option = among(*app)) return option;
        for (const auto* group : app->get_subcommands([](const CLI::App* sub) { return sub->get_name().empty(); }))
            if (const auto* option = among(*group)) return option;
    }
    return nullptr;
}
bool takes_value(const CLI::Option& option) {
    return option.get_items_expected_max() > 0;
}

// The words of "open|leak|conversion" in an option's description.
std::vector<std::string> words_listed(const std::string& description) {
    const auto list = std::string_view(description).substr(0, description.find_first_of(" ;,(:"));
    const auto words = split(list, '|');
    return words.size() < 2 ? std::vector<std::string>() : std::vector<std::string>(words.begin(), words.end());
}

std::string book_named(const Session& session, const std::vector<std::string>& words) {
    for (std::size_t i = 0; i + 1 < words.size(); ++i)
        if (words[i] == "--book") return words[i + 1];
    return session.book_path();
}

class Codes {
 public:
    Codes(const Session& session, const std::vector<std::string>& words) {
        try {
            book_.emplace(Book::open(book_named(session, words), Access::read));
        } catch (const std::exception&) {  // without a book there are no codes to offer
        } catch (const Stop&) {
        }
    }
    void add(EntryKind kind, const char* field, std::vector<Candidate>& out) const {
        if (!book_) return;
        for (const auto& code : book_->codes(kind)) {
            const auto* entry = book_->entries().find(kind, code);
            out.push_back({code, entry ? entry->text(field, {Instant::max(), {}, 0}).value_or("") : ""});
        }
    }
    void add_leaks(std::vector<Candidate>& out) const {
        if (!book_) return;
        for (const auto& leak : book_->leaks()) out.push_back({leak.code, leak.appliance});
    }
    void add_owners(std::vector<Candidate>& out) const {
        if (!book_) return;
        std::set<std::string> owners;
        for (const auto& code : book_->codes(EntryKind::site))
            if (const auto* site = book_->entries().find(EntryKind::site, code))
                owners.insert(site->text("owner", {Instant::max(), {}, 0}).value_or(""));
        for (const auto& owner : owners)
            if (!owner.empty()) out.push_back({owner, "owner"});
    }

 private:
    std::optional<Book> book_;
};

void add_gases(std::vector<Candidate>& out) {
    for (const auto& gas : Catalogue::compiled())
        out.push_back({std::string(gas.designation), std::string(gas.safety_group)});
}

enum class Meaning {
    nothing,
    place,
    cylinder,
    site,
    appliance,
    scale,
    machine,
    technician,
    stock,
    gas,
    leak,
    owner,
    list,
    shell
};

Meaning meaning_of_option(const std::string& name) {
    static const std::map<std::string, Meaning> known{
        {"circuit", Meaning::place},     {"into", Meaning::cylinder},      {"from", Meaning::cylinder},
        {"cylinder", Meaning::cylinder}, {"site", Meaning::site},          {"scale", Meaning::scale},
        {"machine", Meaning::machine},   {"by", Meaning::technician},      {"technician", Meaning::technician},
        {"refrigerant", Meaning::gas},   {"to-refrigerant", Meaning::gas}, {"could-be", Meaning::gas},
        {"leak", Meaning::leak},         {"owner", Meaning::owner}};
    const auto it = known.find(name);
    return it == known.end() ? Meaning::nothing : it->second;
}

// The meaning of a word without an option, by the command before it.
Meaning meaning_of_word(const std::string& command, const std::string& below) {
    static const std::map<std::string, Meaning> by_command{
        {"room", Meaning::cylinder},       {"weigh", Meaning::cylinder},      {"evacuate", Meaning::cylinder},
        {"air-check", Meaning::cylinder},  {"requalify", Meaning::cylinder},  {"move", Meaning::cylinder},
        {"condemn", Meaning::cylinder},    {"lost", Meaning::cylinder},       {"found", Meaning::cylinder},
        {"reclassify", Meaning::cylinder}, {"return", Meaning::cylinder},     {"destroy", Meaning::cylinder},
        {"exchange", Meaning::cylinder},   {"receive", Meaning::cylinder},    {"recycle", Meaning::cylinder},
        {"label", Meaning::cylinder},      {"isolate", Meaning::place},       {"fit", Meaning::place},
        {"pressure-test", Meaning::place}, {"oil", Meaning::place},           {"filter-drier", Meaning::place},
        {"identify", Meaning::cylinder},   {"compressor", Meaning::place},    {"pumpdown", Meaning::place},
        {"inspect", Meaning::appliance},   {"plan", Meaning::appliance},      {"convert", Meaning::appliance},
        {"mothball", Meaning::appliance},  {"extension", Meaning::appliance}, {"repair", Meaning::leak},
        {"settle", Meaning::cylinder},     {"leak-test", Meaning::leak},      {"pt", Meaning::gas},
        {"completion", Meaning::shell}};
    static const std::map<std::string, Meaning> by_both{{"report cylinder", Meaning::cylinder},
                                                        {"report site", Meaning::site},
                                                        {"report appliance", Meaning::appliance},
                                                        {"leak add", Meaning::appliance},
                                                        {"site show", Meaning::site},
                                                        {"site correct", Meaning::site},
                                                        {"appliance show", Meaning::appliance},
                                                        {"appliance correct", Meaning::appliance},
                                                        {"circuit show", Meaning::place},
                                                        {"circuit correct", Meaning::place},
                                                        {"circuit expect", Meaning::place},
                                                        {"cylinder show", Meaning::cylinder},
                                                        {"cylinder correct", Meaning::cylinder},
                                                        {"scale show", Meaning::scale},
                                                        {"scale correct", Meaning::scale},
                                                        {"scale listen", Meaning::scale},
                                                        {"machine show", Meaning::machine},
                                                        {"machine correct", Meaning::machine},
                                                        {"technician show", Meaning::technician},
                                                        {"technician correct", Meaning::technician},
                                                        {"people remove", Meaning::technician},
                                                        {"stock level", Meaning::gas},
                                                        {"stock price", Meaning::gas},
                                                        {"stock show", Meaning::stock},
                                                        {"count weigh", Meaning::cylinder},
                                                        {"count missing", Meaning::cylinder},
                                                        {"recover finish", Meaning::cylinder},
                                                        {"recover drop", Meaning::cylinder},
                                                        {"import blank", Meaning::list}};
    if (!below.empty()) {
        const auto it = by_both.find(command + " " + below);
        return it == by_both.end() ? Meaning::nothing : it->second;
    }
    const auto it = by_command.find(command);
    return it == by_command.end() ? Meaning::nothing : it->second;
}

void add_meant(Meaning meaning, const Codes& codes, std::vector<Candidate>& out) {
    switch (meaning) {
        case Meaning::nothing:
            return;
        case Meaning::place:
            codes.add(EntryKind::circuit, "serves", out);
            return codes.add(EntryKind::appliance, "name", out);
        case Meaning::cylinder:
            return codes.add(EntryKind::cylinder, "refrigerant", out);
        case Meaning::site:
            return codes.add(EntryKind::site, "name", out);
        case Meaning::appliance:
            return codes.add(EntryKind::appliance, "refrigerant", out);
        case Meaning::scale:
            return codes.add(EntryKind::scale, "reads", out);
        case Meaning::machine:
            return codes.add(EntryKind::machine, "name", out);
        case Meaning::technician:
            return codes.add(EntryKind::technician, "name", out);
        case Meaning::stock:
            return codes.add(EntryKind::stock, "at_least", out);
        case Meaning::gas:
            return add_gases(out);
        case Meaning::leak:
            return codes.add_leaks(out);
        case Meaning::owner:
            return codes.add_owners(out);
        case Meaning::list:
            out.insert(out.end(), {{"cylinders", ""}, {"sites", ""}, {"movements", ""}});
            return;
        case Meaning::shell:
            out.insert(out.end(), {{"bash", ""}, {"zsh", ""}, {"fish", ""}});
    }
}

std::vector<const CLI::App*> commands_below(const CLI::App& app) {
    return app.get_subcommands(
        [](const CLI::App* sub) { return !sub->get_name().empty() && !sub->get_group().empty(); });
}

}  // namespace

std::vector<Candidate> candidates(const CLI::App& root, const Session& session, const std::vector<std::string>& words) {
    const std::string begun = words.empty() ? "" : words.back();
    const CLI::App* level = &root;
    std::string command, below;
    const CLI::Option* waiting = nullptr;
    for (std::size_t i = 0; i + 1 < words.size(); ++i) {
        const auto& word = words[i];
        if (waiting) {
            waiting = nullptr;
            continue;
        }
        if (word.starts_with('-')) {
            const auto* option = option_named(level, word);
            if (option && takes_value(*option) && word.find('=') == std::string::npos) waiting = option;
            continue;
        }
        for (const auto* sub : commands_below(*level))
            if (sub->get_name() == word) {
                level = sub;
                (command.empty() ? command : below) = word;
                break;
            }
    }
    std::vector<Candidate> out;
    if (waiting) {
        for (const auto& word : words_listed(waiting->get_description())) out.push_back({word, ""});
        if (out.empty() && !waiting->get_lnames().empty())
            add_meant(meaning_of_option(waiting->get_lnames().front()), Codes(session, words), out);
    } else if (begun.starts_with('-')) {
        for (const auto* app = level; app; app = app->get_parent()) {
            const auto take = [&](const CLI::App& of) {
                for (const auto* option : of.get_options())
                    for (const auto& name : option->get_lnames())
                        out.push_back({"--" + name, option->get_description()});
            };
            take(*app);
            for (const auto* group : app->get_subcommands([](const CLI::App* sub) { return sub->get_name().empty(); }))
                take(*group);
        }
    } else {
        for (const auto* sub : commands_below(*level)) out.push_back({sub->get_name(), sub->get_description()});
        add_meant(meaning_of_word(command, below), Codes(session, words), out);
    }
    std::erase_if(out, [&](const Candidate& c) { return !c.word.starts_with(begun); });
    // A help of several lines is cut after the first.
    for (auto& c : out) c.help = c.help.substr(0, c.help.find('\n'));
    return out;
}

std::string_view completion_script(std::string_view shell) {
    if (shell == "bash")
        return R"sh(# tarebook completion for bash: tarebook completion bash > ~/.local/share/bash-completion/completions/tarebook
_tarebook() {
    local word
    COMPREPLY=()
    while IFS= read -r word; do
        COMPREPLY+=("$(printf '%q' "$word")")
    done < <(tarebook complete bash "${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null)
}
complete -o default -F _tarebook tarebook
)sh";
    if (shell == "zsh")
        return R"sh(#compdef tarebook
# tarebook completion for zsh: tarebook completion zsh > ~/.zfunc/_tarebook (a folder of $fpath)
_tarebook() {
    local -a found
    found=("${(@f)$(tarebook complete zsh "${(@)words[2,CURRENT]}" 2>/dev/null)}")
    if [[ -n "$found" ]]; then _describe tarebook found; else _files; fi
}
compdef _tarebook tarebook
)sh";
    if (shell == "fish")
        return R"sh(# tarebook completion for fish: tarebook completion fish > ~/.config/fish/completions/tarebook.fish
complete -c tarebook -a '(tarebook complete fish (commandline -opc)[2..] (commandline -ct) 2>/dev/null)'
)sh";
    return {};
}

}  // namespace tarebook::cli
