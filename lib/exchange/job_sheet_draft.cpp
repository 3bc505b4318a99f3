// A refused sheet is not lost: its text stays beside the book until the sheet is recorded.
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "job_sheet_id.hpp"
#include "tarebook/event.hpp"
#include "tarebook/job_sheet.hpp"

namespace tarebook {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void failed(const std::string& what, const fs::path& path) {
    throw StorageError(fmt::format("{} {}: {}", what, path.string(), std::strerror(errno)),
                       "check the disk and the permissions of the folder, and keep the sheet until it is recorded");
}

// The sheet's id where the text has one to be seen, also where it cannot be parsed.
std::string id_in(std::string_view text) {
    constexpr std::string_view key = "sheet:";
    if (text.starts_with("\xef\xbb\xbf")) text.remove_prefix(3);
    while (!text.empty()) {
        const auto end = text.find('\n');
        auto line = text.substr(0, end);
        text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
        if (!line.starts_with(key)) continue;
        line.remove_prefix(key.size());
        line = line.substr(0, line.find(" #"));
        const auto first = line.find_first_not_of(" \"'");
        const auto last = line.find_last_not_of(" \"'\r");
        if (first == std::string_view::npos || last < first) return {};
        const auto id = line.substr(first, last - first + 1);
        return exchange::good_sheet_id(id) ? std::string(id) : std::string();
    }
    return {};
}

std::string name_of(std::string_view text) {
    constexpr std::size_t digits = 16;
    const auto id = id_in(text);
    return id.empty() ? "unnamed-" + hex(digest_of(text)).substr(0, digits) : id;
}

fs::path file_of(const fs::path& book, const std::string& sheet) {
    return sheet_drafts_folder(book) / (sheet + ".yaml");
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

fs::path keep_sheet_draft(const fs::path& book, std::string_view text) {
    const auto folder = sheet_drafts_folder(book);
    if (::mkdir(folder.c_str(), 0700) != 0 && errno != EEXIST) failed("cannot make the folder", folder);
    const auto path = file_of(book, name_of(text));
    const auto beside = folder / fmt::format(".{}.{}", path.filename().string(), ::getpid());
    ::unlink(beside.c_str());  // of a process of that number that died here
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

void drop_sheet_draft(const fs::path& book, const std::string& sheet, const fs::path& read_from) {
    const auto folder = sheet_drafts_folder(book);
    ::unlink(file_of(book, sheet).c_str());
    std::error_code e;
    if (!read_from.empty() && fs::equivalent(read_from.parent_path(), folder, e) && !e) ::unlink(read_from.c_str());
    ::rmdir(folder.c_str());  // where it is empty now
}

}  // namespace tarebook
