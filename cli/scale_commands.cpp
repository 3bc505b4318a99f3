// The port of a scale on this device: set, shown, and listened to.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <iostream>
#include <memory>

#include "exit_code.hpp"
#include "scale_ports.hpp"
#include "tarebook/exchange/scale_port_file.hpp"

namespace tarebook::cli {
namespace {

using std::chrono::milliseconds;

std::string port_text(const std::string& scale, const ScalePort& port) {
    std::error_code error;
    const bool is_here = std::filesystem::exists(port.port, error);
    return fmt::format("{} is read from {}{}\n  {} baud, 8N1; waits {} s for it to stand still; lines: {}\n", scale,
                       port.port, is_here ? "" : ", which is not there now", port.baud,
                       static_cast<double>(port.wait.count()) / 1000,
                       port.line.empty() ? "of the usual shape" : port.line);
}

struct ListenOptions {
    std::string code;
    double seconds = 10;
    ScalePortOptions port;
};

// Shows lines as they come; equal ones are counted.
class Listener {
 public:
    explicit Listener(LineShape shape) : shape_(std::move(shape)) {}

    void take(std::string_view bytes, milliseconds at) {
        for (auto& line : lines_.take(bytes, at)) show(line);
        if (!bytes.empty() && std::any_of(bytes.begin(), bytes.end(), [](char c) { return (c & 0x80) != 0; }))
            has_noise_ = true;
    }
    void end() {
        tell_equal();
        if (!lines_.unfinished().empty())
            std::cout << fmt::format("{:<32} half a line, without its end\n", lines_.unfinished());
    }
    /// What to do about lines that were not understood.
    [[nodiscard]] std::string advice(const std::string& scale) const {
        if (!strange_.empty() && has_noise_ && known_ == 0)
            return "what came is not text: try another speed, such as --baud 2400 or --baud 4800\n";
        if (strange_.empty() || known_ >= strange_.size()) return {};
        const auto pattern = proposed_pattern(strange_);
        if (pattern.empty()) return "no weight was found in these lines: a pattern of your own goes with --line\n";
        const auto shape = LineShape::of_pattern(pattern);
        std::string reads;
        for (const auto& line : strange_)
            if (const auto read = shape ? shape->read(line) : std::nullopt; read && reads.empty())
                reads = text_of(*read);
        return fmt::format(
            "a pattern that reads these lines, such as \"{}\":\n  tarebook scale add {} --line '{}'\n"
            "compare it with the display before you use it\n",
            reads, scale, pattern);
    }
    [[nodiscard]] bool heard_a_line() const { return known_ > 0 || !strange_.empty(); }
    [[nodiscard]] bool heard_anything() const { return lines_.anything(); }
    [[nodiscard]] const std::string& unfinished() const { return lines_.unfinished(); }

 private:
    void show(const std::string& line) {
        constexpr std::size_t most_kept = 500;
        const auto read = shape_.read(line);
        if (read)
            ++known_;
        else if (strange_.size() < most_kept)
            strange_.push_back(line);
        if (line == last_ && ++equal_ > 0) return;
        tell_equal();
        last_ = line;
        std::cout << fmt::format("{:<32} {}\n", line, read ? text_of(*read) : "not understood") << std::flush;
    }
    void tell_equal() {
        if (equal_ > 0) std::cout << fmt::format("{:<32} the same {} times more\n", "", equal_);
        equal_ = 0;
    }

    LineShape shape_;
    ScaleLines lines_;
    std::string last_;
    std::vector<std::string> strange_;
    std::size_t equal_ = 0, known_ = 0;
    bool has_noise_ = false;
};

int listen(const Session& s, const ListenOptions& o) {
    s.refuse_format(s.format, Has::no_more);
    {
        const auto book = s.open(Access::read);
        static_cast<void>(s.reads_of_scale(book, o.code));
    }
    auto port = scale_port(s.book_path(), o.code);
    if (o.port.typed()) port = scale_port_of(s, o.code, o.port);
    if (!port)
        throw Stop{{ErrorKind::refused, "scale-no-port", fmt::format("scale {} has no port on this device", o.code),
                    o.code, "--port /dev/ttyUSB0",
                    fmt::format("tarebook scale add {} --port /dev/ttyUSB0 keeps one", o.code)}};
    Listener listener(port->line.empty() ? LineShape() : must(LineShape::of_pattern(port->line)));
    std::cout << fmt::format("{} at {} baud, for {} s; Ctrl-C ends it\n", port->port, port->baud, o.seconds)
              << std::flush;
    const milliseconds most{static_cast<std::int64_t>(o.seconds * 1000)};
    const auto heard = listen_to_scale(*port, [&](std::string_view bytes, milliseconds at) {
        listener.take(bytes, at);
        return at < most;
    });
    listener.end();
    std::cout << listener.advice(o.code) << std::flush;
    must(heard);
    if (!listener.heard_a_line()) must(ScaleReader::nothing_whole(listener.heard_anything(), listener.unfinished()));
    return exit_done;
}

}  // namespace

void add_scale_port_options(CLI::App& command, ScalePortOptions& o) {
    command.add_option("--port", o.port, "its serial port on this device: /dev/ttyUSB0; an empty one forgets it");
    command.add_option("--baud", o.baud, "speed of the port, as set at the scale (9600)");
    command.add_option("--line", o.line,
                       "a regular expression of its lines, where they are not of the usual shape: "
                       "'W:(?<number>[0-9.]+) (?<unit>lb|kg)'; an empty one for the usual shape");
    command.add_option("--wait", o.wait, "seconds to wait until a load stands still (15)")
        ->check(CLI::Range(0.1, 600.0));
}

std::optional<ScalePort> scale_port_of(const Session& s, const std::string& scale, const ScalePortOptions& o) {
    if (o.port && o.port->empty()) return std::nullopt;
    auto port = scale_port(s.book_path(), scale).value_or(ScalePort{});
    if (o.port) port.port = lasting_name(*o.port);
    if (port.port.empty())
        throw slip("flag-missing", "--port is missing", {}, "its serial port on this device: --port /dev/ttyUSB0");
    if (o.baud) port.baud = *o.baud;
    if (o.line) port.line = *o.line;
    if (o.wait) port.wait = milliseconds(static_cast<std::int64_t>(std::lround(*o.wait * 1000)));
    must(check_scale_port(port));
    return port;
}

std::string keep_port(const Session& s, const std::string& scale, const std::optional<ScalePort>& port) {
    if (!port) {
        drop_scale_port(s.book_path(), scale);
        return fmt::format("{} has no port on this device now\n", scale);
    }
    keep_scale_port(s.book_path(), scale, *port, s.now);
    return port_text(scale, *port);
}

std::string ports_text(const Session& s, const Text& scale) {
    std::string out;
    for (const auto& [code, port] : scale_ports(s.book_path()))
        if (!scale || *scale == code) out += port_text(code, port);
    return out;
}

void setup_scale_listen(CLI::App& group, Session& s) {
    auto o = std::make_shared<ListenOptions>();
    auto* c =
        group.add_subcommand("listen", "what comes from its port, line by line, and how it is read")->fallthrough();
    c->add_option("code", o->code, "its code")->required();
    c->add_option("--seconds", o->seconds, "how long (10)")->check(CLI::Range(0.1, 3600.0));
    add_scale_port_options(*c, o->port);
    c->callback([&s, o] { s.run = [&s, o] { return listen(s, *o); }; });
}

}  // namespace tarebook::cli
