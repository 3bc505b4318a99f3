#include "export_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <nettle/sha2.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <system_error>

#include "tarebook/units/new_file.hpp"

namespace tarebook::report {

struct OutFile::Hash {
    Hash() { nettle_sha256_init(&state); }
    sha256_ctx state{};
};

namespace {
constexpr std::size_t piece = 256U * 1024U;
}

OutFile::OutFile(const std::filesystem::path& path)
    : CsvText(buffer_),
      name_(path.filename().string()),
      file_(std::fopen(path.c_str(), "wbx")),
      hash_(std::make_unique<Hash>()) {
    if (!file_) throw NotWritten{fmt::format("{}: {}", name_, std::strerror(errno))};
    std::setvbuf(file_, nullptr, _IONBF, 0);
    buffer_.reserve(piece + 4096);
}
OutFile::~OutFile() {
    if (file_) std::fclose(file_);
}
void OutFile::flush() {
    nettle_sha256_update(&hash_->state, buffer_.size(), reinterpret_cast<const std::uint8_t*>(buffer_.data()));
    if (std::fwrite(buffer_.data(), 1, buffer_.size(), file_) != buffer_.size())
        throw NotWritten{fmt::format("{}: {}", name_, std::strerror(errno))};
    bytes_ += buffer_.size();
    buffer_.clear();
}
void OutFile::put(std::string_view bytes) {
    buffer_ += bytes;
    if (buffer_.size() >= piece) flush();
}
void OutFile::end_row() {
    CsvText::end_row();
    if (buffer_.size() >= piece) flush();
}
WrittenFile OutFile::close() {
    flush();
    auto* const file = file_;
    file_ = nullptr;
    const bool synced = ::fsync(::fileno(file)) == 0;
    if (std::fclose(file) != 0 || !synced) throw NotWritten{fmt::format("{}: {}", name_, std::strerror(errno))};
    WrittenFile out{name_, bytes_, {}};
    nettle_sha256_digest(&hash_->state, out.sha256.size(), out.sha256.data());
    return out;
}

namespace {

tl::unexpected<Error> not_written(const std::string& what) {
    return fail({ErrorKind::storage, "export-not-written", "the export could not be written", what,
                 "a folder that can be made, on a disk with room", "no part of it was left; try again elsewhere"});
}

// The names in it stay when the power goes.
void keep_names(const std::filesystem::path& folder) {
    if (!sync_folder(folder)) throw NotWritten{fmt::format("{}: {}", folder.string(), std::strerror(errno))};
}

// -1 where another program holds it.
int locked(const std::filesystem::path& folder) {
    const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC | O_NOFOLLOW);
    if (fd < 0 || ::flock(fd, LOCK_EX | LOCK_NB) == 0) return fd;
    ::close(fd);
    return -1;
}

// Folders of exports whose program does not live any more.
void remove_abandoned(const std::filesystem::path& parent, const std::string& prefix) {
    std::error_code ignored;
    std::vector<std::filesystem::path> found;
    for (const auto& entry : std::filesystem::directory_iterator(parent, ignored))
        if (const auto name = entry.path().filename().string();
            name.starts_with(prefix) && name.size() == prefix.size() + 6)
            found.push_back(entry.path());
    for (const auto& folder : found)
        if (const int fd = locked(folder); fd >= 0) {
            std::filesystem::remove_all(folder, ignored);
            ::close(fd);
        }
}

}  // namespace

Result<ExportFolder> ExportFolder::make(const std::filesystem::path& to) {
    std::error_code error;
    auto whole = std::filesystem::absolute(to, error).lexically_normal();
    if (!whole.has_filename()) whole = whole.parent_path();
    const auto status = std::filesystem::status(whole, error);
    if (std::filesystem::exists(status)) {
        const bool empty = std::filesystem::is_directory(status) && std::filesystem::is_empty(whole, error) && !error;
        if (!empty)
            return fail({ErrorKind::refused, "export-folder", "an export goes into a folder of its own", to.string(),
                         "a folder that is not there yet, or is empty", "name another one with --to"});
    }
    const auto prefix = "." + whole.filename().string() + ".new-";
    remove_abandoned(whole.parent_path(), prefix);
    auto name = (whole.parent_path() / (prefix + "XXXXXX")).string();
    if (!::mkdtemp(name.data())) return not_written(fmt::format("{}: {}", to.string(), std::strerror(errno)));
    std::filesystem::permissions(name, std::filesystem::perms(0755), error);
    return ExportFolder(whole, name, locked(name));
}
ExportFolder::~ExportFolder() {
    if (open_) {
        std::error_code ignored;  // nothing more can be done about it, and the error that led here is told
        std::filesystem::remove_all(making_, ignored);
    }
    if (lock_ >= 0) ::close(lock_);
}
void ExportFolder::finish() {
    keep_names(making_);
    std::error_code error;
    std::filesystem::rename(making_, to_, error);  // takes the place of an empty folder
    if (error) throw NotWritten{error.message()};
    making_ = to_;  // what is not finished goes
    keep_names(to_.parent_path());
    open_ = false;
}

}  // namespace tarebook::report
