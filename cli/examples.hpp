// Examples for each command, shown by its --help and in the man page. The tests run them all.
#pragma once

#include <string_view>

namespace tarebook::cli {

/// Lines of a shell, separated by line ends; empty if the command has none.
std::string_view examples_of(std::string_view command);

}  // namespace tarebook::cli
