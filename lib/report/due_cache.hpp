// Keeps the results of a search through a large book in a file of the cache folder, so that the next search reads only
// what was recorded since. The file is no record: it may be deleted at any time, and a file that does not match the
// book or this program is not used.
#pragma once

#include <filesystem>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/rules/clocks.hpp"

namespace tarebook::report {

struct CachedReturn {
    std::int64_t row = 0;
    std::string event, cylinder, to;
    Date on{};
};
struct CachedAppliance {
    /// Clocks that events open; periodic clocks depend on the day that is asked for. Without those of put-backs, which
    /// a busy appliance has by the hundred: they are made from what was taken out.
    std::vector<Clock> clocks;
    std::vector<TakenOut> taken_out;  ///< what opens a clock
    std::vector<LeakEvent> disposed;
};
struct DueCache {
    std::vector<std::int64_t> last_rows;                         ///< Book::last_rows() when it was read
    std::map<std::string, std::string, std::less<>> appliances;  ///< each packed
    std::vector<CachedReturn> returns;                           ///< in order of time
};

std::string packed(const CachedAppliance& appliance);
/// Nothing if the bytes are none of this program's.
std::optional<CachedAppliance> unpacked(const Rulebook& rules, std::string_view packed);

/// Empty if there is no such file, or if it is of another book, program or chain of events.
std::optional<DueCache> read_due_cache(const Book& book, const std::filesystem::path& file);
/// Reports no error: if the file cannot be written, the next search takes as long as this one.
void write_due_cache(const Book& book, const DueCache& kept, const std::filesystem::path& file);

/// Writes the whole file or none of it. Reports no error, because such a file may be deleted at any time.
void keep_in_cache(std::string_view bytes, const std::filesystem::path& file);

/// Removes from `kept` what events after those may have changed. Returns how many there are; nothing if too many.
std::optional<std::size_t> forget_touched(const Book& book, DueCache& kept);

}  // namespace tarebook::report
