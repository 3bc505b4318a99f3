// Passphrases: read once, into a page of memory that is neither swapped out nor dumped, and kept only there.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace tarebook::cli {

/// After this call the process leaves no core dump.
void forbid_core_dumps();

/// The value of TAREBOOK_PASSPHRASE or TAREBOOK_NEW_PASSPHRASE; empty if it is not set. The first call removes the
/// variable from the environment.
std::optional<std::string_view> passphrase_set(const char* variable);

/// A line typed at the terminal, which does not show it.
std::string_view ask_passphrase(const std::string& question);

}  // namespace tarebook::cli
