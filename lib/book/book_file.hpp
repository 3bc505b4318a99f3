// The file of a book as the file system has it, and the files that SQLite looks for beside it by their names alone.
#pragma once

#include <filesystem>
#include <optional>

#include "impl.hpp"

namespace tarebook {

/// Before a file is opened as a book. StorageError if it is a folder, a pipe or a device: reading one can wait for
/// ever.
void refuse_other_than_file(const std::filesystem::path& file);

/// BOOK-journal, BOOK-wal or BOOK-shm, where there is one that holds anything.
std::optional<std::filesystem::path> side_file_of(const std::filesystem::path& book);

/// Before a file takes the name `book`. StorageError where a side file lies there: the next command would take it for
/// the new file's own, and write into it what another book left unfinished.
void refuse_side_files(const std::filesystem::path& book);

}  // namespace tarebook
