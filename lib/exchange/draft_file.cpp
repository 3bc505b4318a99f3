#include "draft_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "tarebook/exchange/job_sheet.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook {
namespace fs = std::filesystem;
namespace {

[[noreturn]] void failed(const std::string& what, const fs::path& path) {
    throw StorageError(
        fmt::format("{} {}: {}", what, path.string(), std::strerror(errno)),
        "check the disk and the permissions of the folder, and keep what you have on paper until it is recorded");
}

struct Descriptor {
    int fd;
    explicit Descriptor(int d) : fd(d) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    ~Descriptor() {
        if (fd >= 0) ::close(fd);
    }
};

void sync_folder(const fs::path& folder) {
    const Descriptor d(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (d.fd >= 0) ::fsync(d.fd);
}

void write_whole(const fs::path& path, std::string_view text) {
    const Descriptor d(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600));
    if (d.fd < 0) failed("cannot write", path);
    while (!text.empty()) {
        const auto n = ::write(d.fd, text.data(), text.size());
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) failed("cannot write", path);
        text.remove_prefix(static_cast<std::size_t>(n));
    }
    if (::fsync(d.fd) != 0) failed("cannot write", path);
}

}  // namespace

fs::path sheet_drafts_folder(const fs::path& book) {
    auto folder = book;
    folder += ".drafts";
    return folder;
}

namespace exchange {

fs::path keep_draft_file(const fs::path& book, const std::string& name, std::string_view text) {
    const auto folder = sheet_drafts_folder(book);
    if (::mkdir(folder.c_str(), 0700) != 0 && errno != EEXIST) failed("cannot make the folder", folder);
    const auto path = folder / name;
    const auto beside = folder / fmt::format(".{}.{}", name, ::getpid());
    ::unlink(beside.c_str());  // left by a killed process of the same number
    try {
        write_whole(beside, text);
        if (::rename(beside.c_str(), path.c_str()) != 0) failed("cannot write", path);
    } catch (const StorageError&) {
        ::unlink(beside.c_str());
        throw;
    }
    sync_folder(folder);
    return path;
}

void drop_draft_file(const fs::path& book, const std::string& name) {
    const auto folder = sheet_drafts_folder(book);
    ::unlink((folder / name).c_str());
    ::rmdir(folder.c_str());  // removes the folder if it is empty now
}

}  // namespace exchange
}  // namespace tarebook
