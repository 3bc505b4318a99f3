// A SQLite VFS that goes wrong when it is told to, over the one that SQLite would use. It comes into a program that
// knows nothing of it by LD_PRELOAD, and makes itself the default before main begins. For tests only.
#include <sqlite3.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <string>

#include "fault.hpp"
#include "power_cut.hpp"

namespace fault {
namespace {

sqlite3_vfs* below = nullptr;
Fault& the_fault() {
    return Fault::of_this_process();
}
Disk& disk() {
    static auto* const it = new Disk;  // never destroyed, like the fault
    return *it;
}
bool models_power_cuts() {
    return the_fault().what() == What::cut;
}

/// True where the call shall fail; does not come back where the process shall die.
bool strikes(Call call) {
    if (!the_fault().due(call)) return false;
    if (the_fault().what() == What::kill) die();
    if (the_fault().what() == What::pause) {
        ::raise(SIGSTOP);
        return false;
    }
    if (the_fault().what() == What::cut) {
        disk().cut(the_fault());
        die();
    }
    return true;
}

struct File {
    sqlite3_file base;  // first: SQLite knows no more of us
    const char* path;   // owned by SQLite, lives until close; none for a file that has no name
    bool folder_waits;  // SQLite syncs the folder of a journal or log with its first sync
    bool is_log;
    bool commit_written;  // and not synced yet
    sqlite3_file* below() { return reinterpret_cast<sqlite3_file*>(this + 1); }
};
File& of(sqlite3_file* file) {
    return *reinterpret_cast<File*>(file);
}

bool grows(File& f, sqlite3_int64 end) {
    sqlite3_int64 size = 0;
    return f.below()->pMethods->xFileSize(f.below(), &size) != SQLITE_OK || end > size;
}

int close_file(sqlite3_file* file) {
    strikes(Call::close);
    return of(file).below()->pMethods->xClose(of(file).below());
}

int read_file(sqlite3_file* file, void* to, int size, sqlite3_int64 offset) {
    if (strikes(Call::read)) return SQLITE_IOERR_READ;
    return of(file).below()->pMethods->xRead(of(file).below(), to, size, offset);
}

// The header of a page in a log: 24 bytes, of which four say how many pages the book has, where the page ends a commit
// (sqlite.org/fileformat2.html, 4.1). SQLite writes it apart from the page.
bool ends_a_commit(const void* from, int size, sqlite3_int64 offset) {
    constexpr int page_header = 24;
    const auto* bytes = static_cast<const unsigned char*>(from);
    return offset > 0 && size == page_header && (bytes[4] | bytes[5] | bytes[6] | bytes[7]) != 0;
}

int write_file(sqlite3_file* file, const void* from, int size, sqlite3_int64 offset) {
    auto& f = of(file);
    const auto what = the_fault().what();
    if (strikes(Call::write) && (what != What::full || grows(f, offset + size))) {
        // Up to some byte, or up to some sector, as it comes.
        auto part = static_cast<int>(the_fault().any(static_cast<std::uint64_t>(size) + 1));
        if (the_fault().any(2) == 0) part = part / 512 * 512;
        if (part > 0) f.below()->pMethods->xWrite(f.below(), from, part, offset);
        if (what == What::torn) die();
        return what == What::full || what == What::nowhere ? SQLITE_FULL : SQLITE_IOERR_WRITE;
    }
    const int code = f.below()->pMethods->xWrite(f.below(), from, size, offset);
    if (code == SQLITE_OK && f.is_log && ends_a_commit(from, size, offset)) f.commit_written = true;
    if (code == SQLITE_OK && models_power_cuts() && f.path)
        disk().written(f.path, static_cast<std::uint64_t>(offset), static_cast<const unsigned char*>(from),
                       static_cast<std::size_t>(size));
    return code;
}

int truncate_file(sqlite3_file* file, sqlite3_int64 size) {
    auto& f = of(file);
    if (strikes(Call::truncate)) return SQLITE_IOERR_TRUNCATE;
    const int code = f.below()->pMethods->xTruncate(f.below(), size);
    if (code == SQLITE_OK && models_power_cuts() && f.path) disk().truncated(f.path, static_cast<std::uint64_t>(size));
    return code;
}

int sync_file(sqlite3_file* file, int flags) {
    auto& f = of(file);
    if (strikes(Call::sync)) return SQLITE_IOERR_FSYNC;
    const int code = f.below()->pMethods->xSync(f.below(), flags);
    if (code == SQLITE_OK && models_power_cuts() && f.path) {
        disk().synced(f.path);
        if (f.folder_waits) disk().folder_synced();
        f.folder_waits = false;
    }
    if (code == SQLITE_OK && f.commit_written) {
        f.commit_written = false;
        the_fault().note(Call::committed);
    }
    return code;
}

int file_size(sqlite3_file* file, sqlite3_int64* size) {
    if (strikes(Call::size)) return SQLITE_IOERR_FSTAT;
    return of(file).below()->pMethods->xFileSize(of(file).below(), size);
}

int lock_file(sqlite3_file* file, int level) {
    if (strikes(Call::lock)) return SQLITE_IOERR_LOCK;
    return of(file).below()->pMethods->xLock(of(file).below(), level);
}

int unlock_file(sqlite3_file* file, int level) {
    if (strikes(Call::unlock)) return SQLITE_IOERR_UNLOCK;
    return of(file).below()->pMethods->xUnlock(of(file).below(), level);
}

int check_reserved_lock(sqlite3_file* file, int* held) {
    return of(file).below()->pMethods->xCheckReservedLock(of(file).below(), held);
}

int control_file(sqlite3_file* file, int operation, void* argument) {
    return of(file).below()->pMethods->xFileControl(of(file).below(), operation, argument);
}

int sector_bytes(sqlite3_file*) {
    return the_fault().claims().sector_bytes;
}

int characteristics(sqlite3_file*) {
    return the_fault().claims().power_safe_overwrite ? SQLITE_IOCAP_POWERSAFE_OVERWRITE : 0;
}

// The index to a write-ahead log is memory that programs share: no disk holds it, and after a power cut it is made anew
// from the log. Its locks are not counted.
int map_index(sqlite3_file* file, int page, int size, int extend, void volatile** out) {
    return of(file).below()->pMethods->xShmMap(of(file).below(), page, size, extend, out);
}
int lock_index(sqlite3_file* file, int offset, int n, int flags) {
    return of(file).below()->pMethods->xShmLock(of(file).below(), offset, n, flags);
}
void index_barrier(sqlite3_file* file) {
    of(file).below()->pMethods->xShmBarrier(of(file).below());
}
int unmap_index(sqlite3_file* file, int remove) {
    return of(file).below()->pMethods->xShmUnmap(of(file).below(), remove);
}

// Version 2: no memory mapping of the files, so that every byte of them comes through here.
const sqlite3_io_methods methods = {
    2,          close_file,    read_file,           write_file,   truncate_file, sync_file,       file_size,
    lock_file,  unlock_file,   check_reserved_lock, control_file, sector_bytes,  characteristics, map_index,
    lock_index, index_barrier, unmap_index,         nullptr,      nullptr};

int open_file(sqlite3_vfs*, const char* path, sqlite3_file* file, int flags, int* out_flags) {
    auto& f = of(file);
    std::memset(&f, 0, sizeof(File));
    const bool made = path && (flags & SQLITE_OPEN_CREATE) != 0 && ::access(path, F_OK) != 0;
    if (strikes(made ? Call::make : Call::open)) return SQLITE_CANTOPEN;
    const int code = below->xOpen(below, path, f.below(), flags, out_flags);
    if (code != SQLITE_OK) return code;
    f.path = path;
    f.folder_waits = (flags & SQLITE_OPEN_CREATE) != 0 && (flags & (SQLITE_OPEN_MAIN_JOURNAL | SQLITE_OPEN_WAL)) != 0;
    f.is_log = (flags & SQLITE_OPEN_WAL) != 0;
    f.base.pMethods = &methods;
    // An empty book was made by this very process (`start` does it), and nobody has synced the folder yet.
    if (models_power_cuts() && path) {
        sqlite3_int64 size = 1;
        if ((flags & SQLITE_OPEN_MAIN_DB) != 0) f.below()->pMethods->xFileSize(f.below(), &size);
        disk().opened(path, made || size == 0);
    }
    return SQLITE_OK;
}

int delete_file(sqlite3_vfs*, const char* path, int sync_folder) {
    if (strikes(Call::remove)) {
        // Either the file could not be removed, or it was, and only the folder could not be synced.
        if (sync_folder == 0 || the_fault().any(2) == 0) return SQLITE_IOERR_DELETE;
        const int code = below->xDelete(below, path, 0);
        return code == SQLITE_OK ? SQLITE_IOERR_DIR_FSYNC : code;
    }
    if (models_power_cuts() && ::access(path, F_OK) == 0) disk().removed(path);
    const int code = below->xDelete(below, path, sync_folder);
    if (code == SQLITE_OK && models_power_cuts() && sync_folder != 0) disk().folder_synced();
    return code;
}

int access_file(sqlite3_vfs*, const char* path, int flags, int* answer) {
    if (strikes(Call::access)) return SQLITE_IOERR_ACCESS;
    return below->xAccess(below, path, flags, answer);
}

// The kernel may do a part of what was asked, or be interrupted before it did anything: nothing is lost by either.
template <class Do>
ssize_t in_part(Call call, std::size_t size, Do&& perform) {
    if (!strikes(call)) return perform(size);
    if (the_fault().any(2) == 0) {
        errno = EINTR;
        return -1;
    }
    return perform(size > 1 ? size / 2 : size);
}
ssize_t read_in_part(int fd, void* to, std::size_t size) {
    return in_part(Call::system_read, size, [&](std::size_t n) { return ::read(fd, to, n); });
}
ssize_t write_in_part(int fd, const void* from, std::size_t size) {
    return in_part(Call::system_write, size, [&](std::size_t n) { return ::write(fd, from, n); });
}
ssize_t pread_in_part(int fd, void* to, std::size_t size, off_t offset) {
    return in_part(Call::system_read, size, [&](std::size_t n) { return ::pread(fd, to, n, offset); });
}
ssize_t pwrite_in_part(int fd, const void* from, std::size_t size, off_t offset) {
    return in_part(Call::system_write, size, [&](std::size_t n) { return ::pwrite(fd, from, n, offset); });
}
static_assert(sizeof(off_t) == 8, "pread and pread64 are the same call");

void replace_system_call(const char* name, sqlite3_syscall_ptr with) {
    if (below->xGetSystemCall(below, name)) below->xSetSystemCall(below, name, with);
}

sqlite3_vfs faulty;

__attribute__((constructor)) void make_default() {
    below = sqlite3_vfs_find(nullptr);
    if (!below) return;
    replace_system_call("read", reinterpret_cast<sqlite3_syscall_ptr>(read_in_part));
    replace_system_call("write", reinterpret_cast<sqlite3_syscall_ptr>(write_in_part));
    for (const char* name : {"pread", "pread64"})
        replace_system_call(name, reinterpret_cast<sqlite3_syscall_ptr>(pread_in_part));
    for (const char* name : {"pwrite", "pwrite64"})
        replace_system_call(name, reinterpret_cast<sqlite3_syscall_ptr>(pwrite_in_part));
    faulty = *below;
    faulty.pNext = nullptr;
    faulty.zName = "faulty";
    faulty.szOsFile = static_cast<int>(sizeof(File)) + below->szOsFile;
    faulty.xOpen = open_file;
    faulty.xDelete = delete_file;
    faulty.xAccess = access_file;
    sqlite3_vfs_register(&faulty, 1);
    // Hardly any memory for pages: a small transaction writes to the book before it commits, as a large one does.
    if (std::getenv("TAREBOOK_FAULT_SPILL")) sqlite3_soft_heap_limit64(1);
}

// The power may also go just after the command has answered.
__attribute__((destructor)) void at_the_end() {
    if (!models_power_cuts() || the_fault().has_struck()) return;
    the_fault().strike(Call::end);
    disk().cut(the_fault());
}

}  // namespace
}  // namespace fault
