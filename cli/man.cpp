// The man page: the --help of every command, in roff.
#include <fmt/format.h>

#include "command_table.hpp"
#include "completion.hpp"
#include "examples.hpp"
#include "exit_code.hpp"
#include "session.hpp"
#include "tarebook/version.hpp"

namespace tarebook::cli {
namespace {

// Escapes what roff takes for a request: a dot or a quote at the start of a line, a backslash anywhere.
std::string plain(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '\\')
            out += "\\e";
        else if (c == '-')
            out += "\\-";
        else if (c == '|')
            out += "|\\:";  // a line may end between two choices
        else
            out += c;
        if (c == '\n') out += "\\&";
    }
    return out.empty() ? out : "\\&" + out;
}

void options(const CLI::App& app, std::string& out) {
    const auto list = [&](const CLI::App& of) {
        for (const auto* option : of.get_options()) {
            if (option->get_lnames().empty() || option->get_lnames().front() == "help") continue;
            const bool value = option->get_items_expected_max() > 0;
            out += fmt::format(".TP\n.B \\-\\-{}{}\n{}\n", plain(option->get_lnames().front()).substr(2),
                               value ? " \\fIVALUE\\fR" : "", plain(option->get_description()));
        }
    };
    list(app);
    for (const auto* group : app.get_subcommands([](const CLI::App* sub) { return sub->get_name().empty(); }))
        list(*group);
}

void command(const CLI::App& app, const std::string& name, std::string& out) {
    out += fmt::format(".SS {}\n{}\n", plain(name), plain(app.get_description()));
    std::string positional;
    for (const auto* option : app.get_options())
        if (option->get_lnames().empty())
            positional += fmt::format(".TP\n.I {}\n{}\n", plain(option->get_name()), plain(option->get_description()));
    out += positional;
    // Options that every recording command has are listed once.
    for (const auto* option : app.get_options()) {
        if (option->get_lnames().empty() || option->get_lnames().front() == "help") continue;
        out +=
            fmt::format(".TP\n.B \\-\\-{}{}\n{}\n", plain(option->get_lnames().front()).substr(2),
                        option->get_items_expected_max() > 0 ? " \\fIVALUE\\fR" : "", plain(option->get_description()));
    }
    for (const auto* sub : app.get_subcommands([](const CLI::App* s) { return !s->get_name().empty(); }))
        command(*sub, name + " " + sub->get_name(), out);
    if (name.find(' ') == std::string::npos)
        if (const auto lines = examples_of(name); !lines.empty())
            out += fmt::format(".P\n.nf\n{}\n.fi\n", plain(lines));
}

}  // namespace

std::string man_page(const CLI::App& root) {
    std::string out = fmt::format(
        // not adjusted and not hyphenated: a long command would leave holes, or be broken in two
        ".TH TAREBOOK 1 {} \"tarebook {}\" \"User commands\"\n.ad l\n.nh\n.SH NAME\ntarebook \\- refrigerant recovery "
        "and handling "
        "book of a service shop\n.SH SYNOPSIS\n.B tarebook\n[\\-\\-book FILE] [\\-\\-units lb|kg] [\\-\\-format "
        "FORMAT] COMMAND ...\n.SH DESCRIPTION\n{}\n.P\nWhat is once recorded is never edited.\nWeights are typed as "
        "the "
        "scale shows them, with their unit;\nin their place the word scale reads a scale whose port was set\n"
        "(tarebook scale add ID \\-\\-port).\n.SH OPTIONS OF EVERY COMMAND\n",
        release_date, version, plain(root.get_description()));
    options(root, out);
    const auto subs =
        root.get_subcommands([](const CLI::App* s) { return !s->get_name().empty() && !s->get_group().empty(); });
    for (const auto* sub : subs) {
        const auto groups = sub->get_subcommands([](const CLI::App* s) { return s->get_name().empty(); });
        if (groups.empty()) continue;
        out += ".SH OPTIONS OF EVERY RECORDING COMMAND\n";
        for (const auto* option : groups.front()->get_options())
            if (!option->get_lnames().empty() && option->get_lnames().front() != "help")
                out += fmt::format(".TP\n.B \\-\\-{} \\fIVALUE\\fR\n{}\n",
                                   plain(option->get_lnames().front()).substr(2), plain(option->get_description()));
        break;
    }
    for (const auto use : {Use::field, Use::cylinders, Use::office, Use::year, Use::books, Use::looking}) {
        const std::string title(title_of(use));
        out += fmt::format(".SH {}\n", plain(title));
        for (const auto* sub : subs)
            if (sub->get_group() == title) command(*sub, sub->get_name(), out);
    }
    out += fmt::format(
        ".SH EXIT STATUS\n.TP\n{}\ndone\n.TP\n{}\nrefused, nothing written\n.TP\n{}\nbad usage\n.TP\n{}\nthe book or "
        "the disk failed\n.TP\n{}\nrecorded, or reported, with exceptions\n",
        static_cast<int>(exit_done), static_cast<int>(exit_refused), static_cast<int>(exit_usage),
        static_cast<int>(exit_storage), static_cast<int>(exit_exceptions));
    out += ".SH ENVIRONMENT\n";
    const auto set = [&](std::string_view name, std::string_view what) {
        out += fmt::format(".TP\n{}\n{}\n", name, plain(what));
    };
    set("TAREBOOK", "the book's file or address, where --book does not say it");
    set("TAREBOOK_REFRIGERANTS", "a file of refrigerants of your own, where --refrigerants does not say it");
    set("TAREBOOK_CONFIG", "the one configuration file that is read, in place of those below; empty: none is");
    set("TAREBOOK_SYNC", "the folder of `sync`, where none is typed");
    set("TAREBOOK_TYPIST", "who types, where --typist does not say it");
    set("TAREBOOK_PASSPHRASE", "the passphrase of a locked signing key, where no person is asked");
    set("TAREBOOK_NEW_PASSPHRASE", "the passphrase that `books lock` gives a key");
    set("TAREBOOK_NOW", "the clock of a practice book: 2026-06-01T15:00:00Z");
    set("XDG_DATA_HOME, XDG_CONFIG_HOME, XDG_CACHE_HOME, HOME",
        "where the book, the configuration, and what may go at any time are, where nothing else is said");
    set("COLUMNS", "the width of pages");
    out += ".SH FILES\n";
    set("/etc/tarebook/config, ~/.config/tarebook/config",
        "settings, one a line: book = FILE, units = lb or kg, by = TECHNICIAN, scale = SCALE, packs = a rule pack for "
        "looking, refrigerants = FILE, backups = the folder of backup --into, sync = the folder of sync for a book "
        "that "
        "has none of its own, no practice book, typist = who types here, device = the name of this machine (its host "
        "name). A line that begins with # is a remark. The second file goes before the first, the environment before "
        "both, a flag before all; an open visit goes before "
        "them for person and scale");
    out += ".SH CAUTION\nThe program informs.\nLocal codes, the maker's instructions and a licensed person decide.\n";
    return out;
}

}  // namespace tarebook::cli
