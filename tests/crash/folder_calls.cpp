// Faults in the calls of libc that change the files under one folder, whoever makes them: SQLite, the program itself,
// or a library of C++. It comes into the program by LD_PRELOAD; TAREBOOK_FAULT_FOLDER names the folder, fault.hpp says
// the rest. With TAREBOOK_FAULT_RANDOM=N all that is drawn in the process (keys, names, ids) is the same each time. For
// tests only.
#include "folder_calls.hpp"

#include <fcntl.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <string>
#include <string_view>

#include "fault.hpp"
#include "power_cut.hpp"

namespace fault {
namespace {

// What this library itself does to files is nobody's call.
thread_local bool inside = false;
struct Inside {
    Inside() { inside = true; }
    ~Inside() { inside = false; }
    Inside(const Inside&) = delete;
    Inside& operator=(const Inside&) = delete;
};

Disk& disk() {
    static auto* const it = new Disk;  // never destroyed: files may be closed after static destructors ran
    return *it;
}
const std::string& folder() {
    static const auto* const it = new std::string([] {
        const char* text = std::getenv("TAREBOOK_FAULT_FOLDER");
        return text ? std::string(text) : std::string();
    }());
    return *it;
}
bool models_power_cuts() {
    const auto what = Fault::of_this_process().what();
    return what == What::cut || what == What::failed_cut;
}

constexpr const char* urandom = "/dev/urandom";  // SQLite draws from it

struct OpenFile {
    std::string path;  ///< empty: not ours
    bool is_folder = false;
};
OpenFile& of(int fd) {
    static auto* const all = new std::array<OpenFile, 1024>;
    static OpenFile none;
    if (fd >= 0 && static_cast<std::size_t>(fd) < all->size()) return (*all)[static_cast<std::size_t>(fd)];
    return none = OpenFile();
}
// The whole path where it lies in the folder, else nothing. The index to a log is memory that programs share: no disk
// holds it.
std::string path_of(int at, const char* path) {
    if (inside || folder().empty() || !path || *path == '\0') return {};
    std::string out = path;
    if (out.front() != '/') {
        if (at != AT_FDCWD) {
            out = of(at).path.empty() ? std::string() : of(at).path + "/" + out;
        } else {
            std::array<char, 4096> here{};
            out = ::getcwd(here.data(), here.size()) ? std::string(here.data()) + "/" + out : std::string();
        }
    }
    if (!out.starts_with(folder()) || out.ends_with("-shm")) return {};
    return out;
}

bool lives(Call call) {
    auto& fault = Fault::of_this_process();
    if (!fault.due(call)) return true;
    if (fault.what() == What::pause) {
        ::raise(SIGSTOP);
        return true;
    }
    if (fault.what() == What::cut) disk().cut(fault);
    if (fault.what() == What::kill || fault.what() == What::cut) die();
    return false;
}
int reason() {
    const auto what = Fault::of_this_process().what();
    return what == What::full || what == What::nowhere ? ENOSPC : EIO;
}

// Does the call or lets it fail; `note` tells the disk of what was done.
template <class Do, class Note>
auto called(Call call, Do&& perform, Note&& note) -> decltype(perform()) {
    const Inside guard;
    const bool whole = lives(call);
    if (!whole && Fault::of_this_process().what() != What::after && Fault::of_this_process().what() != What::shorts) {
        errno = reason();
        return -1;
    }
    const auto out = perform();
    const int error = errno;
    if (out >= 0 && models_power_cuts()) note();
    if (!whole && Fault::of_this_process().what() == What::after) die();
    errno = error;
    return out;
}

// Of what kind it is; 0 where nothing has that name.
mode_t kind_of(const std::string& path) {
    struct ::stat about {};
    return ::lstat(path.c_str(), &about) == 0 ? about.st_mode & S_IFMT : 0;
}
// What it holds is read before it goes.
void known(const std::string& path) {
    const Inside guard;
    if (models_power_cuts() && kind_of(path) == S_IFREG) disk().opened(path, false);
}

// The power may also go just after the command has answered.
__attribute__((destructor)) void at_the_end() {
    auto& fault = Fault::of_this_process();
    if (!models_power_cuts() || (fault.what() == What::cut && fault.has_struck())) return;
    const Inside guard;
    fault.strike(Call::end);
    disk().cut(fault);
}

}  // namespace

bool ours(int fd) {
    return !inside && !of(fd).path.empty();
}
bool ours(const char* path) {
    return !path_of(AT_FDCWD, path).empty();
}
void closed(int fd) {
    if (!inside) of(fd) = {};
}

int opened(int at, const char* name, int flags, mode_t mode) {
    const auto path = path_of(at, name);
    if (path.empty()) {
        const int fd = REAL(openat)(at, name, flags, mode);
        if (!inside) of(fd) = {std::string_view(name) == urandom ? urandom : "", false};
        return fd;
    }
    const auto kind = kind_of(path);
    const bool is_folder = kind == S_IFDIR;
    const bool made = (flags & O_CREAT) != 0 && kind == 0;
    const auto does = [&] { return REAL(openat)(at, name, flags, mode); };
    const int fd = is_folder ? does() : called(made ? Call::make : Call::open, does, [&] {
        disk().opened(path, made);
        if ((flags & O_TRUNC) != 0 && !made) disk().truncated(path, 0);
    });
    if (fd >= 0) of(fd) = {path, is_folder};
    return fd;
}

ssize_t written(int fd, const char* from, std::size_t size, off_t offset, bool moves) {
    const Inside guard;
    if (moves) offset = ::lseek(fd, 0, SEEK_CUR);
    auto& fault = Fault::of_this_process();
    const auto does = [&](std::size_t part) {
        const auto n = moves ? REAL(write)(fd, from, part) : REAL(pwrite)(fd, from, part, offset);
        if (n > 0 && models_power_cuts())
            disk().written(of(fd).path, static_cast<std::uint64_t>(offset),
                           reinterpret_cast<const unsigned char*>(from), static_cast<std::size_t>(n));
        return n;
    };
    struct ::stat about {};
    const bool grows = ::fstat(fd, &about) != 0 || offset + static_cast<off_t>(size) > about.st_size;
    if (lives(Call::write) || (fault.what() == What::full && !grows)) return does(size);
    if (fault.what() == What::after) does(size), die();
    auto part = static_cast<std::size_t>(fault.any(size + 1));
    if (fault.any(2) == 0) part = part / 512 * 512;
    if (fault.what() == What::torn) {
        if (part > 0) does(part);
        die();
    }
    if (fault.what() == What::shorts || reason() == ENOSPC) {  // what there was room for, or what came before a signal
        if (part > 0) return does(part);
        errno = fault.what() == What::shorts ? EINTR : ENOSPC;
        return -1;
    }
    if (part > 0 && fault.any(2) == 0) does(part);
    errno = EIO;
    return -1;
}

int synced(int fd, int (*does)(int)) {
    if (!ours(fd)) return does(fd);
    const auto file = of(fd);
    return called(
        file.is_folder ? Call::sync_folder : Call::sync, [&] { return does(fd); },
        [&] {
            if (file.is_folder)
                disk().folder_synced(file.path);
            else
                disk().synced(file.path);
        });
}

int shortened(int fd, off_t size) {
    if (!ours(fd)) return REAL(ftruncate)(fd, size);
    return called(
        Call::truncate, [&] { return REAL(ftruncate)(fd, size); },
        [&] { disk().truncated(of(fd).path, static_cast<std::uint64_t>(size)); });
}

int removed(int at, const char* name, int flags) {
    const auto path = path_of(at, name);
    if (path.empty() || (flags & AT_REMOVEDIR) != 0 || kind_of(path) == 0) return REAL(unlinkat)(at, name, flags);
    known(path);
    return called(
        Call::remove, [&] { return REAL(unlinkat)(at, name, flags); }, [&] { disk().removed(path); });
}

int renamed(int from_at, const char* from, int to_at, const char* to, unsigned flags) {
    const auto old_path = path_of(from_at, from), new_path = path_of(to_at, to);
    const auto does = [&] { return REAL(renameat2)(from_at, from, to_at, to, flags); };
    if (old_path.empty() || new_path.empty()) return does();
    known(old_path), known(new_path);
    return called(Call::rename, does, [&] { disk().renamed(old_path, new_path); });
}

int linked(const char* file, const char* to) {
    const auto path = path_of(AT_FDCWD, file), new_path = path_of(AT_FDCWD, to);
    const auto does = [&] { return REAL(link)(file, to); };
    if (path.empty() || new_path.empty()) return does();
    known(path);
    return called(Call::link, does, [&] { disk().linked(path, new_path); });
}

ssize_t has_read(int fd, void* to, std::size_t size, off_t offset, bool moves) {
    if (of(fd).path == urandom) return random_bytes(to, size);
    return called(
        Call::read, [&] { return moves ? REAL(read)(fd, to, size) : REAL(pread)(fd, to, size, offset); }, [] {});
}

ssize_t random_bytes(void* to, std::size_t size) {
    static const char* const seed = std::getenv("TAREBOOK_FAULT_RANDOM");
    if (!seed) return REAL(getrandom)(to, size, 0);
    static auto* const dice = new std::mt19937_64(std::strtoull(seed, nullptr, 10));
    for (std::size_t i = 0; i < size; ++i)
        static_cast<unsigned char*>(to)[i] = static_cast<unsigned char>((*dice)() >> 32U);
    return static_cast<ssize_t>(size);
}

}  // namespace fault
