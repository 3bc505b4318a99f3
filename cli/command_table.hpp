// Which file builds which command. Building all commands takes longer than recording an event, so a command line that
// names one builds only its group; help and mistyped lines build all.
#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "session.hpp"

namespace tarebook::cli {

/// Who uses a command, and when: help and man page list the commands in this order.
enum class Use { field, cylinders, office, year, books, looking, hidden };
/// The heading of these commands; empty for those that no help lists.
std::string_view title_of(Use use);

struct Command {
    std::string_view name;
    Use use;
};

struct CommandGroup {
    std::span<const Command> commands;  ///< in the order in which `setup` adds them
    void (*setup)(CLI::App&, Session&);
    bool sees_all = false;  ///< its commands show all the others
};

/// In the order of the help.
std::span<const CommandGroup> command_groups();

/// The group of the command that the words name; null if another word could also be a command.
const CommandGroup* group_named(const std::vector<std::string>& words);

}  // namespace tarebook::cli
