// The serial port of a scale: opened for itself alone, 8N1, raw, read and never written to. How the port was set before
// is put back at the end.
#include "tarebook/scale/scale_port.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

namespace fs = std::filesystem;
using std::chrono::milliseconds;
using Clock = std::chrono::steady_clock;

constexpr std::array<std::pair<int, speed_t>, 10> speeds{{{300, B300},
                                                          {600, B600},
                                                          {1200, B1200},
                                                          {2400, B2400},
                                                          {4800, B4800},
                                                          {9600, B9600},
                                                          {19200, B19200},
                                                          {38400, B38400},
                                                          {57600, B57600},
                                                          {115200, B115200}}};

const speed_t* speed_of(int baud) {
    for (const auto& speed : speeds)
        if (speed.first == baud) return &speed.second;
    return nullptr;
}

tl::unexpected<Error> no_port(const std::string& port, std::string what) {
    const auto here = joined(ports_here());
    return fail({ErrorKind::refused, "scale-port", std::move(what), port,
                 here.empty() ? "a serial port, such as /dev/ttyUSB0" : "a port that is here: " + here,
                 "put the cable in, or type the weight: a typed weight goes at any time"});
}

tl::unexpected<Error> ended(const std::string& port, int error) {
    return fail({ErrorKind::refused, "scale-unplugged",
                 fmt::format("the port of the scale ended while it was read ({})",
                             error == 0 ? "nothing is at its other end" : std::strerror(error)),
                 port, "a cable that stays in",
                 "put the cable in and read again, or type the weight: a typed weight goes at any time"});
}

// Whether it is the terminal that the program is run from.
bool is_own_terminal(int opened, const struct stat& port) {
    if (::tcgetpgrp(opened) >= 0) return true;
    for (int fd = 0; fd <= 2; ++fd) {
        struct stat own {};
        if (::fstat(fd, &own) == 0 && S_ISCHR(own.st_mode) && own.st_rdev == port.st_rdev) return true;
    }
    return false;
}

class OpenPort {
 public:
    OpenPort() = default;
    OpenPort(const OpenPort&) = delete;
    OpenPort& operator=(const OpenPort&) = delete;
    ~OpenPort() {
        if (fd_ < 0) return;
        if (is_set_) ::tcsetattr(fd_, TCSANOW, &before_);
        ::close(fd_);
    }

    Result<void> open(const ScalePort& port) {
        const auto& name = port.port;
        // without waiting: a serial port may wait for a line that no scale has, and a pipe for who writes
        fd_ = ::open(name.c_str(), O_RDONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
        if (fd_ < 0) {
            if (errno == ENOENT || errno == ENXIO || errno == ENODEV)
                return no_port(name, "the port of the scale is not there");
            return no_port(name, fmt::format("the port of the scale cannot be opened ({})", std::strerror(errno)));
        }
        struct stat state {};
        if (::fstat(fd_, &state) != 0 || ::tcgetattr(fd_, &before_) != 0 || is_own_terminal(fd_, state))
            return no_port(name, "that is not a serial port of a scale");
        if (::flock(fd_, LOCK_EX | LOCK_NB) != 0) return no_port(name, "another program reads the port of the scale");
        auto raw = before_;
        ::cfmakeraw(&raw);
        raw.c_cflag &= ~static_cast<tcflag_t>(PARENB | CSTOPB | CSIZE | CRTSCTS);
        raw.c_cflag |= CS8 | CREAD | CLOCAL;
        raw.c_iflag |= IGNBRK;
        raw.c_cc[VMIN] = 0;
        raw.c_cc[VTIME] = 0;
        ::cfsetispeed(&raw, *speed_of(port.baud));
        ::cfsetospeed(&raw, *speed_of(port.baud));
        if (::tcsetattr(fd_, TCSANOW, &raw) != 0)
            return no_port(name, fmt::format("the port of the scale cannot be set ({})", std::strerror(errno)));
        is_set_ = true;
        ::tcflush(fd_, TCIFLUSH);  // what came before is of another load
        return {};
    }

    // What came within a moment.
    Result<std::string> come(const std::string& name) {
        constexpr int moment = 50;
        pollfd wait{fd_, POLLIN, 0};
        if (::poll(&wait, 1, moment) <= 0) return std::string();
        std::array<char, 512> bytes{};
        const auto got = ::read(fd_, bytes.data(), bytes.size());
        if (got > 0) return std::string(bytes.data(), static_cast<std::size_t>(got));
        if (got < 0 && (errno == EAGAIN || errno == EINTR)) return std::string();
        if (got < 0) return ended(name, errno);
        if ((wait.revents & (POLLHUP | POLLERR)) != 0) return ended(name, 0);
        return std::string();
    }

 private:
    int fd_ = -1;
    bool is_set_ = false;
    termios before_{};
};

}  // namespace

std::string lasting_name(const std::string& port, const fs::path& names) {
    std::error_code error;
    const auto target = fs::canonical(port, error);
    if (!error)
        for (const auto& name : ports_here(names))
            if (std::error_code no_link; fs::canonical(name, no_link) == target && !no_link) return name;
    return fs::absolute(port).lexically_normal().string();
}

std::vector<std::string> ports_here(const fs::path& names) {
    std::vector<std::string> out;
    std::error_code error;
    for (const auto& entry : fs::directory_iterator(names, error)) out.push_back(entry.path().string());
    std::sort(out.begin(), out.end());
    return out;
}

Result<void> check_scale_port(const ScalePort& port) {
    if (!speed_of(port.baud)) {
        std::string known;
        for (const auto& speed : speeds) add_word(known, std::to_string(speed.first));
        return usage("scale-baud", "no serial port has that speed", std::to_string(port.baud), known,
                     "the menu or the manual of the scale says its speed");
    }
    if (!port.line.empty())
        if (const auto shape = LineShape::of_pattern(port.line); !shape) return fail(shape.error());
    return {};
}

Result<void> listen_to_scale(const ScalePort& port, const ScaleHeard& heard) {
    if (auto good = check_scale_port(port); !good) return good;
    OpenPort open;
    if (auto opened = open.open(port); !opened) return opened;
    const auto start = Clock::now();
    for (;;) {
        const auto bytes = open.come(port.port);
        const auto at = std::chrono::duration_cast<milliseconds>(Clock::now() - start);
        if (!bytes) {
            heard({}, at);
            return fail(bytes.error());
        }
        if (!heard(*bytes, at)) return {};
    }
}

Result<Weight> read_scale(const ScalePort& port, ScaleReads reads, ScaleShows wanted,
                          const std::function<void(const ScaleReader&)>& waiting) {
    if (auto good = check_scale_port(port); !good) return fail(std::move(good.error()));
    auto shape = port.line.empty() ? LineShape() : LineShape::of_pattern(port.line).value();
    ScaleReader reader(std::move(shape), reads, wanted);
    milliseconds told{0};
    auto end = listen_to_scale(port, [&](std::string_view bytes, milliseconds at) {
        reader.take(bytes, at);
        if (waiting && !reader.ended() && at - told >= milliseconds(1000)) told = at, waiting(reader);
        return !reader.ended() && at < port.wait;
    });
    if (!end && !reader.ended()) return fail(std::move(end.error()));
    return reader.result();
}

}  // namespace tarebook
