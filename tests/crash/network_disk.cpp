// Preloaded, it says of every file that it lies on a disk of another machine: an NFS one (statfs(2), linux/magic.h).
#include <dlfcn.h>
#include <sys/vfs.h>

namespace {

constexpr auto nfs = 0x6969;

template <class About>
int asked(const char* name, const char* path, About* about) {
    using Ask = int (*)(const char*, About*);
    const auto ask = reinterpret_cast<Ask>(::dlsym(RTLD_NEXT, name));
    const int code = ask(path, about);
    if (code == 0) about->f_type = nfs;
    return code;
}

}  // namespace

extern "C" int statfs(const char* path, struct statfs* about) noexcept {
    return asked("statfs", path, about);
}
extern "C" int statfs64(const char* path, struct statfs64* about) noexcept {
    return asked("statfs64", path, about);
}
