#include "help.hpp"

#include <unistd.h>

#include "command_table.hpp"
#include "tarebook/units/fitted_text.hpp"
#include "terminal.hpp"

namespace tarebook::cli {
namespace {

// Where descriptions begin: those of options, and on a narrow terminal all; those of commands.
constexpr std::size_t narrow = 60, option_column = 30, command_column = 17;

// A name and what it is: two blanks at least between them, else on the next line.
std::string named(std::string name, const std::string& words, std::size_t column) {
    name.insert(0, "  ");
    if (words.empty()) return name + "\n";
    if (name.size() + 2 > column)
        name += "\n" + std::string(column, ' ');
    else
        name.append(column - name.size(), ' ');
    for (const char c : words) {
        name += c;
        if (c == '\n') name.append(column, ' ');
    }
    return name + "\n";
}

class ByUse : public CLI::Formatter {
 public:
    std::string make_option(const CLI::Option* option, bool is_positional) const override {
        return named(make_option_name(option, is_positional) + make_option_opts(option), make_option_desc(option),
                     column_width_);
    }
    // The first line of what a command is; its own help has all of them.
    std::string make_subcommand(const CLI::App* command) const override {
        const auto words = command->get_description();
        return named(command->get_name(), words.substr(0, words.find('\n')), command_column);
    }
    std::string make_subcommands(const CLI::App* app, CLI::AppFormatMode mode) const override {
        if (app->get_parent()) return CLI::Formatter::make_subcommands(app, mode);
        std::string out;
        for (const auto use : {Use::field, Use::cylinders, Use::office, Use::year, Use::books, Use::looking}) {
            const std::string title(title_of(use));
            out += "\n" + title + ":\n";
            for (const auto* command :
                 app->get_subcommands([&](const CLI::App* one) { return one->get_group() == title; }))
                out += make_subcommand(command);
        }
        return out;
    }
};

}  // namespace

std::shared_ptr<CLI::FormatterBase> help_formatter() {
    auto formatter = std::make_shared<ByUse>();
    const auto width = line_width(STDOUT_FILENO);
    formatter->column_width(width && *width < narrow ? command_column : option_column);
    return formatter;
}

std::string help_page(const CLI::App& app) {
    const auto page = app.help();
    const auto width = line_width(STDOUT_FILENO);
    return width ? fitted_text(page, *width) : page;
}

}  // namespace tarebook::cli
