#include "tarebook/units/bounded_file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

namespace tarebook {
namespace {

struct Opened {
    explicit Opened(const std::filesystem::path& file)
        : descriptor(::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)) {}  // a pipe does not make it wait
    Opened(const Opened&) = delete;
    Opened& operator=(const Opened&) = delete;
    ~Opened() {
        if (descriptor >= 0) ::close(descriptor);
    }
    int descriptor;
};

}  // namespace

Result<std::string> read_whole(const std::filesystem::path& file, std::size_t most_bytes) {
    const auto unreadable = [&] {
        return usage("file-unreadable", std::string("the file cannot be read: ") + std::strerror(errno), file.string(),
                     "a file that can be read");
    };
    const Opened opened(file);
    if (opened.descriptor < 0 && (errno == ENOENT || errno == ENOTDIR))
        return usage("file-missing", "there is no such file", file.string(), "a file that is there");
    if (opened.descriptor < 0) return unreadable();
    struct stat about {};
    if (::fstat(opened.descriptor, &about) != 0) return unreadable();
    if (!S_ISREG(about.st_mode))
        return usage("file-not-regular", S_ISDIR(about.st_mode) ? "that is a folder" : "that is not an ordinary file",
                     file.string(), "a file that can be read to its end");
    const auto too_large = [&] {
        return usage("file-too-large", "the file is too large for what it should be", file.string(),
                     "at most " + std::to_string(most_bytes) + " bytes");
    };
    if (static_cast<std::size_t>(about.st_size) > most_bytes) return too_large();
    // One byte more than the file has now: the file may grow while it is read.
    std::string out(static_cast<std::size_t>(about.st_size) + 1, '\0');
    std::size_t got = 0;
    while (true) {
        const auto n = ::read(opened.descriptor, out.data() + got, out.size() - got);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return unreadable();
        if (n == 0) break;
        got += static_cast<std::size_t>(n);
        if (got > most_bytes) return too_large();
        if (got == out.size()) out.resize(2 * got);
    }
    out.resize(got);
    return out;
}

}  // namespace tarebook
