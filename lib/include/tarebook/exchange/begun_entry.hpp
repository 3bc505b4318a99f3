// What somebody has begun to enter and not recorded yet: words by flag, in a file beside the book, outside the chain.
// It survives an interrupt and a reboot; recording it takes it away.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "tarebook/event/moment.hpp"

namespace tarebook {

struct BegunEntry {
    Instant begun{};
    std::vector<std::pair<std::string, std::string>> words;  ///< flag, what was typed; a flag once

    [[nodiscard]] std::optional<std::string> at(std::string_view flag) const;
    void set(std::string flag, std::string typed);
};

/// `name`: letters, digits, - _ . at most 100 of them; anything else is an error of the program.
/// Nothing where there is none, or one that cannot be read.
std::optional<BegunEntry> begun_entry(const std::filesystem::path& book, const std::string& name);
/// Throws StorageError.
void keep_begun_entry(const std::filesystem::path& book, const std::string& name, const BegunEntry& entry);
void drop_begun_entry(const std::filesystem::path& book, const std::string& name);
/// Names that begin so, in order.
std::vector<std::string> begun_entries(const std::filesystem::path& book, std::string_view beginning);

}  // namespace tarebook
