// What becomes of a call to libc about the files of one folder: libc_names.cpp sends each of them here.
#pragma once

#include <dlfcn.h>
#include <sys/types.h>

#include <cstddef>

namespace fault {

/// The function of libc itself.
template <class F>
F* real(const char* name) {
    return reinterpret_cast<F*>(::dlsym(RTLD_NEXT, name));
}
#define REAL(name)                                                      \
    (*[] {                                                              \
        static auto* const it = ::fault::real<decltype(::name)>(#name); \
        return it;                                                      \
    }())

/// Is it a file of the folder, and not opened by this library?
bool ours(int fd);
bool ours(const char* path);
void closed(int fd);

// `at`: the folder that a name begins from; `moves`: on from where the file stands, else at `offset`
int opened(int at, const char* name, int flags, mode_t mode);
ssize_t written(int fd, const char* from, std::size_t size, off_t offset, bool moves);
ssize_t has_read(int fd, void* to, std::size_t size, off_t offset, bool moves);
int synced(int fd, int (*does)(int));
int shortened(int fd, off_t size);
int removed(int at, const char* name, int flags);
int renamed(int from_at, const char* from, int to_at, const char* to, unsigned flags);
int linked(const char* file, const char* to);
ssize_t random_bytes(void* to, std::size_t size);

}  // namespace fault
