// Disks whose locks and syncs another machine answers for. SQLite's promise (one writer; what is committed stays) rests
// on both.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string_view>

namespace tarebook {

/// "NFS", "SMB" ... of a type as statfs(2) gives it; nothing where it is none that we know to be remote.
std::optional<std::string_view> network_name(std::uint32_t type);
/// Of the disk on which the file lies.
std::optional<std::string_view> network_disk_of(const std::filesystem::path& file);

}  // namespace tarebook
