// The ports of this device's scales, in small files beside the book, outside the chain: on another device the same
// scale hangs on another port.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>

#include "tarebook/event/moment.hpp"
#include "tarebook/scale/scale_port.hpp"

namespace tarebook {

/// The port of a scale; nothing where it has none on this device, or its file cannot be read.
std::optional<ScalePort> scale_port(const std::filesystem::path& book, const std::string& scale);
/// Keeps it, or puts it in place of another one. Throws StorageError.
void keep_scale_port(const std::filesystem::path& book, const std::string& scale, const ScalePort& port, Instant now);
/// Forgets it, if there is one.
void drop_scale_port(const std::filesystem::path& book, const std::string& scale);
/// All of them, by the code of the scale.
std::map<std::string, ScalePort> scale_ports(const std::filesystem::path& book);

}  // namespace tarebook
