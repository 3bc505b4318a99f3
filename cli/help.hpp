// The pages of --help.
#pragma once

#include <CLI/CLI.hpp>
#include <memory>
#include <string>

namespace tarebook::cli {

/// Lists the commands by who uses them, and when, as command_table.cpp says.
std::shared_ptr<CLI::FormatterBase> help_formatter();

/// The help that was asked for, in lines of the terminal's width; not broken for a file.
std::string help_page(const CLI::App& app);

}  // namespace tarebook::cli
