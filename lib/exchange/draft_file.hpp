// Files beside the book that must not be lost and are no part of it. They are in the folder BOOK.drafts, are written
// whole or not at all, and are on the disk when the call returns.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace tarebook::exchange {

/// Writes or replaces a file. Throws StorageError.
std::filesystem::path keep_draft_file(const std::filesystem::path& book, const std::string& name,
                                      std::string_view text);
/// Removes a file if it exists, and the folder if it is empty then.
void drop_draft_file(const std::filesystem::path& book, const std::string& name);

}  // namespace tarebook::exchange
