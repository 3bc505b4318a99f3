#include "passphrase.hpp"

#include <strings.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <iostream>
#include <map>
#include <new>

namespace tarebook::cli {
namespace {

constexpr std::size_t page_size = 4096;

#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define TAREBOOK_WATCHED 1
#endif
#endif
#ifdef __SANITIZE_ADDRESS__
#define TAREBOOK_WATCHED 1
#endif

// A page of memory that is used for one passphrase and never freed.
char* locked_page() {
#ifndef TAREBOOK_WATCHED  // a sanitizer needs access that this takes away
    ::prctl(PR_SET_DUMPABLE, 0, 0, 0, 0);
#endif
    void* page = ::mmap(nullptr, page_size, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (page == MAP_FAILED) throw std::bad_alloc();
    ::mlock(page, page_size);  // if the system does not allow it, the page may be swapped out
    ::madvise(page, page_size, MADV_DONTDUMP);
    return static_cast<char*>(page);
}

}  // namespace

void forbid_core_dumps() {
    const rlimit none{0, 0};
    ::setrlimit(RLIMIT_CORE, &none);
}

std::optional<std::string_view> passphrase_set(const char* variable) {
    static std::map<std::string, std::string_view> taken;
    if (const auto it = taken.find(variable); it != taken.end()) return it->second;
    char* value = std::getenv(variable);
    if (!value) return std::nullopt;
    const auto size = std::min(std::strlen(value), page_size);
    char* page = locked_page();
    std::memcpy(page, value, size);
    ::explicit_bzero(value, std::strlen(value));
    ::unsetenv(variable);
    return taken[variable] = {page, size};
}

std::string_view ask_passphrase(const std::string& question) {
    std::cerr << question << ": " << std::flush;
    termios shown{};
    const bool terminal = ::tcgetattr(STDIN_FILENO, &shown) == 0;
    if (terminal) {
        auto hidden = shown;
        hidden.c_lflag &= ~static_cast<tcflag_t>(ECHO);
        ::tcsetattr(STDIN_FILENO, TCSANOW, &hidden);
    }
    // Reads past the streams, whose buffers would keep the passphrase.
    char* page = locked_page();
    std::size_t size = 0;
    while (size < page_size) {
        const auto n = ::read(STDIN_FILENO, page + size, 1);
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0 || page[size] == '\n') break;
        ++size;
    }
    if (terminal) ::tcsetattr(STDIN_FILENO, TCSANOW, &shown);
    std::cerr << '\n';
    return {page, size};
}

}  // namespace tarebook::cli
