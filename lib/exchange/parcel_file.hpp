// A parcel as a file: what its first lines and its last one say, and whether all bytes between them are those that its
// sender signed. Of a file in a shared folder no more than that is believed.
#pragma once

#include <cstdint>
#include <filesystem>
#include <vector>

#include "parcel_form.hpp"

namespace tarebook {

/// What the lines say; the bytes between them were not looked at.
struct ParcelLines {
    parcel_form::Header header;
    std::vector<parcel_form::Box> boxes;
    parcel_form::Closing closing;
    std::uint64_t content_at = 0, content_end = 0;  ///< where the bundle is, in bytes
    /// Whether this device can read it.
    [[nodiscard]] bool opens_for(std::string_view public_key) const;
};
enum class ParcelFault {
    unreadable,  ///< the disk, or the file went
    torn,        ///< it does not end as a parcel does: it is not all there yet, or it was cut
    damaged      ///< its first lines are not those of a parcel, or its bytes are others than were signed
};
/// Of an open file.
tl::expected<ParcelLines, ParcelFault> parcel_lines(int fd);
/// Nothing where all its bytes are those that the key of its header signed.
std::optional<ParcelFault> parcel_fault(int fd, const ParcelLines& lines);

/// A file that is open to be read, as long as it is an ordinary one.
class ReadFile {
 public:
    explicit ReadFile(const std::filesystem::path& file);
    ReadFile(const ReadFile&) = delete;
    ReadFile& operator=(const ReadFile&) = delete;
    ~ReadFile();
    [[nodiscard]] bool is_open() const { return fd_ >= 0; }
    [[nodiscard]] int fd() const { return fd_; }

 private:
    int fd_ = -1;
};

}  // namespace tarebook
