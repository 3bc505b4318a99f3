#include "network_disk.hpp"

#include <sys/vfs.h>

#include <algorithm>
#include <array>
#include <utility>

namespace tarebook {

// Source of the numbers: statfs(2), man-pages 6, and linux/magic.h.
std::optional<std::string_view> network_name(std::uint32_t type) {
    constexpr std::array<std::pair<std::uint32_t, std::string_view>, 11> known = {{{0x6969, "NFS"},
                                                                                   {0x517b, "SMB"},
                                                                                   {0xff534d42, "SMB (CIFS)"},
                                                                                   {0xfe534d42, "SMB 2"},
                                                                                   {0x65735546, "FUSE"},
                                                                                   {0x01021997, "9P"},
                                                                                   {0x00c36400, "Ceph"},
                                                                                   {0x5346414f, "AFS"},
                                                                                   {0x73757245, "Coda"},
                                                                                   {0x0bd00bd0, "Lustre"},
                                                                                   {0x786f4256, "a shared folder"}}};
    const auto* const it = std::find_if(known.begin(), known.end(), [&](const auto& one) { return one.first == type; });
    if (it == known.end()) return std::nullopt;
    return it->second;
}

std::optional<std::string_view> network_disk_of(const std::filesystem::path& file) {
    struct statfs about {};
    if (::statfs(file.c_str(), &about) != 0) return std::nullopt;
    return network_name(static_cast<std::uint32_t>(about.f_type));
}

}  // namespace tarebook
