// Checks a text before the YAML library reads it. The library follows nesting by recursion, needs time by the square of
// a line's length, accepts two equal keys in silence, and expands anchors. Our files need none of that, so it is
// refused here, in at most one walk over the bytes. Precondition: the reader of the file has bounded its size.
#pragma once

#include <string>
#include <string_view>

#include "tarebook/units/file_problem.hpp"

namespace tarebook {

inline constexpr std::size_t deepest_yaml = 16;

struct YamlGuard {
    const char* noun = "document";    ///< what a text is to a person: "a sheet takes no anchor"
    std::size_t longest_line = 4096;  ///< bytes
};
/// What a person writes has longer lines.
inline constexpr YamlGuard sheet_guard{"sheet", 65'536};

/// Adds what is wrong with the bytes: UTF-8, control characters, line length, tabs, depth, anchors, aliases, tags,
/// directives, a second document.
void guard_yaml(std::string_view text, const std::string& name, const YamlGuard& guard, FileProblems& problems);

/// The text without a byte order mark, with plain line ends.
std::string plain_yaml_text(std::string_view text);

/// Each control character as a blank: for a comment of YAML.
std::string on_one_yaml_line(std::string_view text);
/// Text in double quotes, as YAML reads it back, on one line.
std::string in_yaml_quotes(std::string_view text);

}  // namespace tarebook
