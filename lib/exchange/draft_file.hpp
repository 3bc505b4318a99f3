// Files beside the book that must not be lost and are no part of it: in the folder BOOK.drafts, whole or not at all,
// and on the disk before the call returns.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace tarebook::exchange {

/// Writes or replaces it. Throws StorageError.
std::filesystem::path keep_draft_file(const std::filesystem::path& book, const std::string& name,
                                      std::string_view text);
/// Where it is there; and the folder, where it is empty then.
void drop_draft_file(const std::filesystem::path& book, const std::string& name);

}  // namespace tarebook::exchange
