// The last event of a file that may be a copy of a book.
#pragma once

#include <filesystem>
#include <optional>

#include "tarebook/book/book.hpp"

namespace tarebook {

struct HeadOfCopy {
    BookId book{};
    Head head;
};
/// Of a file with any schema; nothing if it is no book or cannot be read. Throws StorageError if another program has it
/// open, or the disk does not answer.
std::optional<HeadOfCopy> head_of_copy(const std::filesystem::path& file);

}  // namespace tarebook
