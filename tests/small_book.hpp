// A small book for who damages it: an event of every kind, a trusted book that came in, one that waits in quarantine, a
// register that was received, and pages of 512 bytes, so that every kind of page is there and few bytes are empty.
#pragma once

#include <filesystem>
#include <string>

namespace tarebook::test {

/// The bytes of the book's file. `folder` is empty, and empty again afterwards.
std::string small_book(const std::filesystem::path& folder);

std::string bytes_of(const std::filesystem::path& file);
void write_bytes(const std::filesystem::path& file, std::string_view bytes);

/// A folder in memory, where there is one. It goes with its owner.
class RoomInMemory {
 public:
    RoomInMemory();
    RoomInMemory(const RoomInMemory&) = delete;
    RoomInMemory& operator=(const RoomInMemory&) = delete;
    ~RoomInMemory();
    std::filesystem::path path;
};

}  // namespace tarebook::test
