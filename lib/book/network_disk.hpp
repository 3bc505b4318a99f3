// Disks whose locks and syncs are those of another machine. SQLite's promise (one writer; what is committed stays)
// rests on both.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string_view>

namespace tarebook {

/// "NFS", "SMB" ... for a type as statfs(2) gives it; empty if the type is not known to be remote.
std::optional<std::string_view> network_name(std::uint32_t type);
/// The name of the network disk that holds the file; empty for another disk.
std::optional<std::string_view> network_disk_of(const std::filesystem::path& file);

}  // namespace tarebook
