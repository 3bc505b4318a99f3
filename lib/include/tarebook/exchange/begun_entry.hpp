// What a person has begun to enter and not recorded yet: words by flag, in a file beside the book, outside the chain.
// It survives an interrupt and a reboot, and is deleted when it is recorded.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "tarebook/event/moment.hpp"

namespace tarebook {

/// An entry as far as it was typed.
struct BegunEntry {
    Instant begun{};
    std::vector<std::pair<std::string, std::string>> words;  ///< flag, what was typed; a flag once

    /// What was typed for a flag; nothing for a flag without an entry.
    [[nodiscard]] std::optional<std::string> at(std::string_view flag) const;
    /// Adds what was typed for a flag, or replaces it.
    void set(std::string flag, std::string typed);
};

/// Reads an entry; nothing where there is none, or one that cannot be read. `name`, here and below, has at most 100
/// letters, digits, hyphens, underscores and dots; BrokenPromise for any other name.
std::optional<BegunEntry> begun_entry(const std::filesystem::path& book, const std::string& name);
/// Writes an entry, or replaces it. Throws StorageError.
void keep_begun_entry(const std::filesystem::path& book, const std::string& name, const BegunEntry& entry);
/// Deletes an entry, if there is one.
void drop_begun_entry(const std::filesystem::path& book, const std::string& name);
/// The names that begin so, sorted.
std::vector<std::string> begun_entries(const std::filesystem::path& book, std::string_view beginning);

}  // namespace tarebook
