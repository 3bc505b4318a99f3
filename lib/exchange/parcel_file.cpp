#include "parcel_file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>

#include "bundle_form.hpp"

namespace tarebook {
namespace {

constexpr std::size_t longest_first_line = 1024;
constexpr std::size_t longest_box_line = 1024;

// Fewer bytes where the file ends before; nothing where it cannot be read.
std::optional<std::string> bytes_at(int fd, std::uint64_t at, std::size_t size) {
    std::string out(size, '\0');
    std::size_t got = 0;
    while (got < size) {
        const auto n = ::pread(fd, out.data() + got, size - got, static_cast<off_t>(at + got));
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return std::nullopt;
        if (n == 0) break;
        got += static_cast<std::size_t>(n);
    }
    out.resize(got);
    return out;
}

// The line at the place, without its end; it moves the place behind it. Nothing where there is none of that length.
class LinesOfFile {
 public:
    explicit LinesOfFile(int fd) : fd_(fd) {}
    std::optional<std::string_view> next(std::size_t longest) {
        for (;;) {
            const auto end = buffer_.find('\n', at_);
            if (end != std::string::npos) {
                const auto line = std::string_view(buffer_).substr(at_, end - at_);
                at_ = end + 1;
                return line.size() > longest ? std::nullopt : std::optional(line);
            }
            if (buffer_.size() - at_ > longest) return std::nullopt;
            buffer_.erase(0, at_);
            read_ += at_;
            at_ = 0;
            constexpr std::size_t chunk = 16U * 1024U;
            const auto more = bytes_at(fd_, read_ + buffer_.size(), chunk);
            if (!more) unreadable = true;
            if (!more || more->empty()) return std::nullopt;
            buffer_ += *more;
        }
    }
    [[nodiscard]] std::uint64_t place() const { return read_ + at_; }
    bool unreadable = false;

 private:
    int fd_;
    std::string buffer_;
    std::size_t at_ = 0;
    std::uint64_t read_ = 0;
};

}  // namespace

ReadFile::ReadFile(const std::filesystem::path& file)
    : fd_(::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOFOLLOW)) {
    struct stat about {};
    if (fd_ >= 0 && (::fstat(fd_, &about) != 0 || !S_ISREG(about.st_mode))) {
        ::close(fd_);
        fd_ = -1;
    }
}
ReadFile::~ReadFile() {
    if (fd_ >= 0) ::close(fd_);
}

bool ParcelLines::opens_for(std::string_view public_key) const {
    return !header.sealed || std::any_of(boxes.begin(), boxes.end(),
                                         [&](const parcel_form::Box& one) { return one.public_key == public_key; });
}

tl::expected<ParcelLines, ParcelFault> parcel_lines(int fd) {
    struct stat about {};
    if (::fstat(fd, &about) != 0 || about.st_size < 0) return tl::unexpected(ParcelFault::unreadable);
    const auto size = static_cast<std::uint64_t>(about.st_size);
    // A file that grows from its start is torn until its last line is there.
    if (size < parcel_form::closing_size) return tl::unexpected(ParcelFault::torn);
    const auto end = bytes_at(fd, size - parcel_form::closing_size, parcel_form::closing_size);
    if (!end) return tl::unexpected(ParcelFault::unreadable);
    const auto closing = parcel_form::closing_from(*end);
    if (!closing) return tl::unexpected(ParcelFault::torn);
    ParcelLines out;
    out.closing = *closing;
    LinesOfFile lines(fd);
    const auto fault = [&] {
        return tl::unexpected(lines.unreadable ? ParcelFault::unreadable : ParcelFault::damaged);
    };
    const auto first = lines.next(longest_first_line);
    const auto header = first ? parcel_form::header_from(*first) : std::nullopt;
    if (!header) return fault();
    out.header = *header;
    for (std::int64_t i = 0; i < header->devices; ++i) {
        const auto line = lines.next(longest_box_line);
        auto one = line ? parcel_form::box_from(*line) : std::nullopt;
        if (!one) return fault();
        out.boxes.push_back(std::move(*one));
    }
    out.content_at = lines.place();
    out.content_end = size - parcel_form::closing_size;
    if (out.content_at > out.content_end) return fault();
    return out;
}

std::optional<ParcelFault> parcel_fault(int fd, const ParcelLines& lines) {
    if (!bundle_form::signature_holds(lines.header.public_key, parcel_form::message(lines.closing.digest),
                                      lines.closing.signature))
        return ParcelFault::damaged;
    Hasher hasher;
    for (std::uint64_t at = 0; at < lines.content_end;) {
        constexpr std::uint64_t chunk = 1U << 20U;
        const auto want = static_cast<std::size_t>(std::min(chunk, lines.content_end - at));
        const auto bytes = bytes_at(fd, at, want);
        if (!bytes) return ParcelFault::unreadable;
        if (bytes->size() != want) return ParcelFault::torn;
        hasher.add(*bytes);
        at += want;
    }
    if (hasher.digest() != lines.closing.digest) return ParcelFault::damaged;
    return std::nullopt;
}

}  // namespace tarebook
