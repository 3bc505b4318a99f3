#include "draft_file.hpp"

#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "tarebook/book/server_address.hpp"
#include "tarebook/exchange/job_sheet.hpp"
#include "tarebook/units/error.hpp"
#include "tarebook/units/new_file.hpp"

namespace tarebook {
namespace fs = std::filesystem;
namespace {

[[noreturn]] void failed(const std::string& what, const fs::path& path) {
    throw StorageError(
        fmt::format("{} {}: {}", what, path.string(), std::strerror(errno)),
        "check the disk and the permissions of the folder, and keep what you have on paper until it is recorded");
}

}  // namespace

fs::path sheet_drafts_folder(const fs::path& book) {
    return drafts_folder_of(book);
}

namespace exchange {

fs::path keep_draft_file(const fs::path& book, const std::string& name, std::string_view text) {
    const auto folder = sheet_drafts_folder(book);
    if (std::error_code ignored; is_server_address(book)) fs::create_directories(folder.parent_path(), ignored);
    if (::mkdir(folder.c_str(), 0700) != 0 && errno != EEXIST) failed("cannot make the folder", folder);
    const auto path = folder / name;
    NewFile file(path);
    file.write(text);
    if (file.replace() == Named::no)
        failed("cannot write", path);  // where the disk is not sure, it is kept nevertheless
    return path;
}

void drop_draft_file(const fs::path& book, const std::string& name) {
    const auto folder = sheet_drafts_folder(book);
    ::unlink((folder / name).c_str());
    ::rmdir(folder.c_str());  // removes the folder if it is empty now
}

}  // namespace exchange
}  // namespace tarebook
