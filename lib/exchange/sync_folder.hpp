// The thin edge to a shared folder: its files by what they say, not by names that change on the way.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "sync_plan.hpp"
#include "tarebook/exchange/sync.hpp"

namespace tarebook {

/// A notice, and the file that it is in.
struct FolderNotice {
    std::string name;
    DeviceNotice notice;
};
struct FolderNames {
    std::vector<std::string> notices, parcels;  ///< names that have the ending of one anywhere: "name copy 2" as well
    std::vector<std::string> unfinished;        ///< own files that a run which was killed left
};
/// Error (storage): sync-folder, where it cannot be listed.
Result<FolderNames> names_in(const std::filesystem::path& folder, const BookId& own);

/// Of two notices of one device.
bool is_older(const DeviceNotice& one, const DeviceNotice& other);
/// Of each device the latest notice; a damaged one is added to `left`.
std::vector<FolderNotice> notices_in(const std::filesystem::path& folder, const std::vector<std::string>& names,
                                     std::vector<LeftFile>& left);
/// Each content once. What is torn or damaged is added to `left`. `passes_over`: by the digits of a sender's id with
/// which a name begins, whether that file need not be opened.
std::vector<FolderParcel> parcels_in(const std::filesystem::path& folder, const std::vector<std::string>& names,
                                     const std::function<bool(std::string_view)>& passes_over,
                                     std::vector<LeftFile>& left);
/// All bytes of a parcel were read.
struct ParcelLook {
    std::string name;              ///< the file, of those with this content, whose bytes are as they were signed
    std::optional<WhyLeft> fault;  ///< empty: there is one
};
ParcelLook look_at(const std::filesystem::path& folder, const FolderParcel& parcel);

}  // namespace tarebook
