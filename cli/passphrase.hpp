// Passphrases: read once, into a page of memory that is neither swapped out nor dumped, and nowhere else.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace tarebook::cli {

/// From now on this process leaves no core dump.
void forbid_core_dumps();

/// The value of TAREBOOK_PASSPHRASE or TAREBOOK_NEW_PASSPHRASE, which leaves the environment when it is first asked
/// for; nothing where it was not set.
std::optional<std::string_view> passphrase_set(const char* variable);

/// A line typed at the terminal, which does not show it.
std::string_view ask_passphrase(const std::string& question);

}  // namespace tarebook::cli
