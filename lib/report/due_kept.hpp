// What a look over a large book has found, kept in a file outside it, so that the next look reads only what was
// recorded since. The file is no record: it can be thrown away at any time, and one that does not fit the book or this
// program is not used.
#pragma once

#include <filesystem>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/rules/clocks.hpp"

namespace tarebook::report {

struct KeptReturn {
    std::int64_t row = 0;
    std::string event, cylinder, to;
    Date on{};
};
struct KeptAppliance {
    std::vector<Clock> clocks;  ///< those that events open; periodic ones hang on the day of asking
    std::vector<LeakEvent> disposed;
};
struct Kept {
    std::int64_t until = 0;  ///< row of the last event that was looked at
    std::map<std::string, KeptAppliance, std::less<>> appliances;
    std::vector<KeptReturn> returns;  ///< in order of time
};

/// Nothing where there is no such file, or where it is of another book, program or chain of events.
std::optional<Kept> read_kept(const Book& book, const std::filesystem::path& file);
/// Tells nobody where it cannot be written: then the next look is as long as this one.
void write_kept(const Book& book, const Kept& kept, const std::filesystem::path& file);

/// A file that may go at any time, whole or not at all. Tells nobody where it cannot be written.
void keep_in_cache(std::string_view bytes, const std::filesystem::path& file);

/// Takes out of `kept` what events after kept.until may have changed. False where there are too many of them.
bool forget_touched(const Book& book, Kept& kept);

}  // namespace tarebook::report
