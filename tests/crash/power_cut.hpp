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
    // of both names it is known before the call what was there: `opened`
    /// The file has this name now, and no other; one that had it is gone. A folder takes what lies in it along.
    void renamed(const std::string& from, const std::string& to);
    /// The file has this name, too.
    void linked(const std::string& file, const std::string& to);
    /// All names in the folder are as they stand now; without a folder, all names.
    void folder_synced(const std::string& folder = {});

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
    using Named = std::pair<std::string, std::shared_ptr<Content>>;  ///< a name, and what it leads to: none, it is gone
    struct Renaming {
        std::string folder;
        std::vector<Named> names;  ///< all of them or none
    };
    Name& known(const std::string& path);
    void renaming(std::vector<Named> names);
    static void apply(Bytes& bytes, const Change& change);
    static void apply_in_part(Bytes& bytes, const Change& change, Fault& fault);
    static Bytes left_of(const Content& content, Fault& fault);

    std::map<std::string, Name> names_;
    std::vector<Renaming> renamings_;  ///< since their folder was synced, in order
};

}  // namespace fault
