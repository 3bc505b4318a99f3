// The thin edge to a scale: a serial port, 8N1, read and never written to.
#pragma once

#include <chrono>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "tarebook/scale/scale_reader.hpp"

namespace tarebook {

/// How a scale is reached from this device. Another device has other cables.
struct ScalePort {
    std::string port;                       ///< /dev/serial/by-id/NAME, or another path
    int baud = 9600;                        ///< bits a second
    std::string line;                       ///< its pattern; empty for the usual shape
    std::chrono::milliseconds wait{15000};  ///< how long to wait for a load to stand still
    friend bool operator==(const ScalePort&, const ScalePort&) = default;
};

/// The name that a port keeps when its cable is put in again: that of /dev/serial/by-id which leads to it, else the
/// absolute path itself. `names`: the folder of such names.
std::string lasting_name(const std::string& port, const std::filesystem::path& names = "/dev/serial/by-id");
/// The ports of this device that have a lasting name, sorted.
std::vector<std::string> ports_here(const std::filesystem::path& names = "/dev/serial/by-id");

/// Checks speed and pattern. Errors (usage): scale-baud, scale-pattern.
Result<void> check_scale_port(const ScalePort& port);

/// What came from the port within a moment; empty where nothing did. False ends the listening.
using ScaleHeard = std::function<bool(std::string_view bytes, std::chrono::milliseconds at)>;
/// Opens the port, and hands over what comes until `heard` is false. Errors (refused): scale-port, where it cannot be
/// opened or is no serial port; scale-unplugged, where it ended.
Result<void> listen_to_scale(const ScalePort& port, const ScaleHeard& heard);

/// A weight from the port, once it stands still. `waiting` is told of the latest line, about once a second. Errors:
/// those of listen_to_scale, check_scale_port and ScaleReader::result.
Result<Weight> read_scale(const ScalePort& port, ScaleReads reads, ScaleShows wanted,
                          const std::function<void(const ScaleReader&)>& waiting = {});

}  // namespace tarebook
