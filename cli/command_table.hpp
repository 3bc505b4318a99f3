// Which file builds which command. To build all of them takes longer than to record an event, so a command line that
// names one has only its group built; whatever asks for more (help, a slip of the pen) has them all.
#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "session.hpp"

namespace tarebook::cli {

struct CommandGroup {
    std::span<const std::string_view> names;  ///< in the order in which `setup` adds them
    void (*setup)(CLI::App&, Session&);
    bool sees_all = false;  ///< its commands tell about all the others
};

/// In the order of the help.
std::span<const CommandGroup> command_groups();

/// The group of the command that the words name, where no other word could be taken for a command; else null.
const CommandGroup* group_named(const std::vector<std::string>& words);

}  // namespace tarebook::cli
