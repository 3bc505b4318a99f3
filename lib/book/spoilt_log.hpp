// A write-ahead log whose header is damaged. SQLite takes such a one for empty, and the book for what it was before.
#pragma once

#include <filesystem>

namespace tarebook {

/// Whether the header does not hold, and what was committed behind it is not in the file. A power cut may damage the
/// header of a log, too: while it is begun anew, when all that it held is in the file.
bool spoilt_log_holds_more(const std::filesystem::path& book, const std::filesystem::path& log);

}  // namespace tarebook
