// Files as bytes. Only a regular file is read: a pipe or a device may never end.
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "csv.hpp"
#include "csv_guard.hpp"
#include "tarebook/units/refused.hpp"

namespace tarebook {
namespace {

class FileSource : public ByteSource {
 public:
    FileSource(int file, std::size_t size) : file_(file), size_(size) {}
    FileSource(const FileSource&) = delete;
    FileSource& operator=(const FileSource&) = delete;
    ~FileSource() override { ::close(file_); }
    [[nodiscard]] std::size_t size() const override { return size_; }
    std::size_t read(char* into, std::size_t most) override {
        std::size_t got = 0;
        while (got < most) {
            const auto n = ::read(file_, into + got, most - got);
            if (n < 0 && errno == EINTR) continue;
            if (n < 0)
                throw Refused(csv_guard::error("file-unreadable", "the file cannot be read", std::strerror(errno),
                                               "a file that can be read"));
            if (n == 0) break;
            got += static_cast<std::size_t>(n);
        }
        return got;
    }

 private:
    int file_;
    std::size_t size_;
};

}  // namespace

Result<std::unique_ptr<ByteSource>> open_file(const std::filesystem::path& path) {
    const auto unreadable = [&](const char* name, std::string what) {
        return fail(csv_guard::error(name, std::move(what), path.string(), "a file that can be read"));
    };
    const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (file < 0)
        return unreadable(errno == ENOENT ? "file-missing" : "file-unreadable",
                          fmt::format("the file cannot be opened: {}", std::strerror(errno)));
    struct stat about {};
    if (::fstat(file, &about) != 0 || !S_ISREG(about.st_mode)) {
        const bool folder = S_ISDIR(about.st_mode);
        ::close(file);
        return unreadable("file-not-regular", folder ? "that is a folder" : "that is not an ordinary file");
    }
    return std::make_unique<FileSource>(file, static_cast<std::size_t>(about.st_size));
}

}  // namespace tarebook
