#include "tarebook/units/new_file.hpp"

#include <fcntl.h>
#include <stdio.h>
#include <unistd.h>

#include <cerrno>
#include <string>

namespace tarebook {

bool sync_folder(const std::filesystem::path& folder) {
    const int fd = ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    const bool synced = fd >= 0 && (::fsync(fd) == 0 || errno == EINVAL || errno == EROFS);
    const int reason = errno;
    if (fd >= 0) ::close(fd);
    errno = reason;
    return synced;
}

Named take_free_name(const std::filesystem::path& made, const std::filesystem::path& name) {
    if (::renameat2(AT_FDCWD, made.c_str(), AT_FDCWD, name.c_str(), RENAME_NOREPLACE) != 0) {
        if (errno == EEXIST) return Named::taken;
        if (errno != EINVAL && errno != ENOSYS) return Named::no;
        // a file system that cannot refuse to replace
        std::error_code ignored;
        if (std::filesystem::exists(name, ignored)) return errno = EEXIST, Named::taken;
        if (::rename(made.c_str(), name.c_str()) != 0) return Named::no;
    }
    if (sync_folder(name.parent_path())) return Named::yes;
    const int reason = errno;
    const bool gone = ::unlink(name.c_str()) == 0;
    errno = reason;
    return gone ? Named::no : Named::unsure;
}
Named take_place(const std::filesystem::path& made, const std::filesystem::path& name) {
    if (::rename(made.c_str(), name.c_str()) != 0) return Named::no;
    return sync_folder(name.parent_path()) ? Named::yes : Named::unsure;
}

NewFile::NewFile(std::filesystem::path file, Readers readers) : file_(std::move(file)), beside_(file_) {
    beside_ += ".part-" + std::to_string(::getpid());
    ::unlink(beside_.c_str());  // of a process of that number that died here
    fd_ = ::open(beside_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW,
                 readers == Readers::owner ? 0600 : 0666);
    if (fd_ < 0) failed_ = errno;
}
NewFile::~NewFile() {
    if (fd_ < 0) return;
    ::close(fd_);
    ::unlink(beside_.c_str());
}
bool NewFile::write(std::string_view bytes) {
    while (failed_ == 0 && !bytes.empty()) {
        const auto n = ::write(fd_, bytes.data(), bytes.size());
        if (n < 0 && errno != EINTR) failed_ = errno;
        if (n == 0) failed_ = ENOSPC;
        if (n > 0) bytes.remove_prefix(static_cast<std::size_t>(n));
    }
    errno = failed_;
    return failed_ == 0;
}
bool NewFile::close(bool synced) {
    if (fd_ < 0) return errno = failed_, false;
    if (failed_ == 0 && synced && ::fsync(fd_) != 0) failed_ = errno;
    if (::close(fd_) != 0 && failed_ == 0) failed_ = errno;
    fd_ = -1;
    if (failed_ != 0) ::unlink(beside_.c_str());
    errno = failed_;
    return failed_ == 0;
}
Named NewFile::take_name() {
    if (!close(true)) return Named::no;
    const auto named = take_free_name(beside_, file_);
    if (named == Named::yes || named == Named::unsure) return named;
    const int reason = errno;
    ::unlink(beside_.c_str());
    errno = reason;
    return named;
}
Named NewFile::replace() {
    if (!close(true)) return Named::no;
    const auto named = take_place(beside_, file_);
    const int reason = errno;
    if (named == Named::no) ::unlink(beside_.c_str());
    errno = reason;
    return named;
}
Named NewFile::replace_for_now() {
    if (!close(false)) return Named::no;
    if (::rename(beside_.c_str(), file_.c_str()) == 0) return Named::yes;
    ::unlink(beside_.c_str());
    return Named::no;
}

}  // namespace tarebook
