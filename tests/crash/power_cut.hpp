// What a disk holds for certain, and what it may or may not hold when the power goes.
//
// Promised by a disk, and no more: what was synced is there; a file's name is there (or gone) for certain once its
// folder was synced. What was written since the last sync may be there wholly, in sectors of any order, or not at all,
// and a sector that was being written may hold anything. A disk that does not claim power-safe overwrite may also harm
// the other bytes of that sector.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "fault.hpp"

namespace fault {

class Disk {
 public:
    using Bytes = std::vector<unsigned char>;

    /// `made`: the file was not there before.
    void opened(const std::string& path, bool made);
    void written(const std::string& path, std::uint64_t offset, const unsigned char* data, std::size_t size);
    void truncated(const std::string& path, std::uint64_t size);
    void synced(const std::string& path);
    void removed(const std::string& path);
    /// All names in the folder are as they stand now. A book and its journal lie in one folder.
    void folder_synced();

    /// Leaves in the file system what the power cut left.
    void cut(Fault& fault) const;

 private:
    struct Change {
        std::uint64_t offset = 0;  ///< of a truncation: the size
        Bytes data;
        bool truncates = false;
    };
    struct Content {
        Bytes certain;
        std::vector<Change> pending;
    };
    struct Name {
        std::shared_ptr<Content> certain;  ///< none: the name is not there for certain
        std::shared_ptr<Content> now;
    };
    static void apply(Bytes& bytes, const Change& change);
    static void apply_in_part(Bytes& bytes, const Change& change, Fault& fault);
    static Bytes left_of(const Content& content, Fault& fault);

    std::map<std::string, Name> names_;
};

}  // namespace fault
