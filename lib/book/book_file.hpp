// The file of a book as the file system has it, and the files that SQLite looks for beside it by their names alone.
#pragma once

#include <filesystem>
#include <optional>

#include "impl.hpp"

namespace tarebook {

/// Precondition of opening a file as a book. StorageError if it is a folder, a pipe or a device: reading one can block
/// for ever.
void refuse_other_than_file(const std::filesystem::path& file);

/// BOOK-journal, BOOK-wal or BOOK-shm, if one of them exists and is not empty.
std::optional<std::filesystem::path> side_file_of(const std::filesystem::path& book);

/// Precondition of giving a file the name `book`. StorageError if there is a side file: the next command would take it
/// for the new file's own, and write another book's unfinished pages into it.
void refuse_side_files(const std::filesystem::path& book);

}  // namespace tarebook
