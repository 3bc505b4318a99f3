// The names under which programs and libraries call libc, in front of it.
#include <fcntl.h>
#include <sys/stat.h>
#include <sys/uio.h>
#include <unistd.h>

#include <cstdarg>
#include <cstdio>
#include <string>

#include "folder_calls.hpp"

namespace {

// One writer for all: a stream keeps nothing back where the file is ours.
std::size_t stream_written(const char* from, std::size_t size, std::FILE* stream) {
    std::size_t done = 0;
    while (done < size) {
        const auto n = fault::written(::fileno(stream), from + done, size - done, 0, true);
        if (n < 0) break;
        done += static_cast<std::size_t>(n);
    }
    return done;
}

std::FILE* stream_opened(const char* path, const char* mode) {
    const bool appends = *mode == 'a';
    const int fd = fault::opened(AT_FDCWD, path, O_WRONLY | O_CREAT | O_CLOEXEC | (appends ? O_APPEND : O_TRUNC), 0666);
    return fd < 0 ? nullptr : ::fdopen(fd, mode);
}

}  // namespace

// glibc declares the names with 64 apart where off_t has them already
extern "C" {

int open(const char* path, int flags, ...) {
    va_list more;
    va_start(more, flags);
    const auto mode = static_cast<mode_t>(va_arg(more, int));
    va_end(more);
    return fault::opened(AT_FDCWD, path, flags, mode);
}
int open64(const char* path, int flags, ...) {
    va_list more;
    va_start(more, flags);
    const auto mode = static_cast<mode_t>(va_arg(more, int));
    va_end(more);
    return fault::opened(AT_FDCWD, path, flags, mode);
}
int openat(int at, const char* path, int flags, ...) {
    va_list more;
    va_start(more, flags);
    const auto mode = static_cast<mode_t>(va_arg(more, int));
    va_end(more);
    return fault::opened(at, path, flags, mode);
}
int close(int fd) {
    fault::closed(fd);
    return REAL(close)(fd);
}

ssize_t read(int fd, void* to, std::size_t size) {
    return fault::ours(fd) ? fault::has_read(fd, to, size, 0, true) : REAL(read)(fd, to, size);
}
ssize_t pread(int fd, void* to, std::size_t size, off_t offset) {
    return fault::ours(fd) ? fault::has_read(fd, to, size, offset, false) : REAL(pread)(fd, to, size, offset);
}
ssize_t pread64(int fd, void* to, std::size_t size, off_t offset) {
    return pread(fd, to, size, offset);
}
ssize_t write(int fd, const void* from, std::size_t size) {
    return fault::ours(fd) ? fault::written(fd, static_cast<const char*>(from), size, 0, true)
                           : REAL(write)(fd, from, size);
}
ssize_t pwrite(int fd, const void* from, std::size_t size, off_t offset) {
    return fault::ours(fd) ? fault::written(fd, static_cast<const char*>(from), size, offset, false)
                           : REAL(pwrite)(fd, from, size, offset);
}
ssize_t pwrite64(int fd, const void* from, std::size_t size, off_t offset) {
    return pwrite(fd, from, size, offset);
}
ssize_t writev(int fd, const iovec* parts, int n) {
    if (!fault::ours(fd)) return REAL(writev)(fd, parts, n);
    std::string whole;
    for (int i = 0; i < n; ++i) whole.append(static_cast<const char*>(parts[i].iov_base), parts[i].iov_len);
    return fault::written(fd, whole.data(), whole.size(), 0, true);
}
int ftruncate(int fd, off_t size) {
    return fault::shortened(fd, size);
}
int ftruncate64(int fd, off_t size) {
    return fault::shortened(fd, size);
}
int fsync(int fd) {
    return fault::synced(fd, &REAL(fsync));
}
int fdatasync(int fd) {
    return fault::synced(fd, &REAL(fdatasync));
}

int unlink(const char* path) noexcept {
    return fault::removed(AT_FDCWD, path, 0);
}
int unlinkat(int at, const char* path, int flags) noexcept {
    return fault::removed(at, path, flags);
}
int remove(const char* path) noexcept {
    struct ::stat about {};
    const bool folder = ::lstat(path, &about) == 0 && S_ISDIR(about.st_mode);
    return fault::removed(AT_FDCWD, path, folder ? AT_REMOVEDIR : 0);
}
int rename(const char* from, const char* to) noexcept {
    return fault::renamed(AT_FDCWD, from, AT_FDCWD, to, 0);
}
int renameat(int from_at, const char* from, int to_at, const char* to) noexcept {
    return fault::renamed(from_at, from, to_at, to, 0);
}
int renameat2(int from_at, const char* from, int to_at, const char* to, unsigned flags) noexcept {
    return fault::renamed(from_at, from, to_at, to, flags);
}
int link(const char* file, const char* to) noexcept {
    return fault::linked(file, to);
}

FILE* fopen(const char* path, const char* mode) {
    return *mode != 'r' && fault::ours(path) ? stream_opened(path, mode) : REAL(fopen)(path, mode);
}
FILE* fopen64(const char* path, const char* mode) {
    return fopen(path, mode);
}
std::size_t fwrite(const void* from, std::size_t each, std::size_t n, FILE* stream) {
    if (!fault::ours(::fileno(stream)) || each == 0) return REAL(fwrite)(from, each, n, stream);
    return stream_written(static_cast<const char*>(from), each * n, stream) / each;
}
int fclose(FILE* stream) {
    fault::closed(::fileno(stream));
    return REAL(fclose)(stream);
}

ssize_t getrandom(void* to, std::size_t size, unsigned) {
    return fault::random_bytes(to, size);
}

}  // extern "C"
