#include "book_file.hpp"

#include <fmt/format.h>

namespace tarebook {
namespace {

std::optional<std::filesystem::path> beside(const std::filesystem::path& book, const char* ending) {
    auto file = book;
    file += ending;
    std::error_code ignored;
    if (std::filesystem::symlink_status(file, ignored).type() == std::filesystem::file_type::not_found)
        return std::nullopt;
    return file;
}

// True for an empty file: a disk that failed when SQLite removed it left it, or a program that was killed before its
// first page.
bool holds_nothing(const std::filesystem::path& file) {
    std::error_code failed;
    return std::filesystem::is_regular_file(std::filesystem::symlink_status(file, failed)) &&
           std::filesystem::file_size(file, failed) == 0 && !failed;
}

}  // namespace

void refuse_other_than_file(const std::filesystem::path& file) {
    std::error_code ignored;
    const auto status = std::filesystem::status(file, ignored);
    if (!std::filesystem::exists(status) || std::filesystem::is_regular_file(status)) return;
    throw StorageError(fmt::format("{} is {}, not a book.", file.string(),
                                   std::filesystem::is_directory(status) ? "a folder" : "no ordinary file"),
                       "give the book with --book FILE");
}

std::optional<std::filesystem::path> side_file_of(const std::filesystem::path& book) {
    for (const char* ending : {"-journal", "-wal", "-shm"}) {
        auto file = beside(book, ending);
        if (file && !holds_nothing(*file)) return file;
    }
    return std::nullopt;
}

void refuse_side_files(const std::filesystem::path& book) {
    const auto file = side_file_of(book);
    if (!file) return;
    throw StorageError(
        fmt::format("{} is where {} has to be, and belongs to another file that had this name: the next command would "
                    "write its content into the new one. Nothing was written.",
                    file->string(), book.string()),
        "move it to where that other file is now, under that file's name (it may hold what was being recorded), or "
        "choose another name");
}

}  // namespace tarebook
