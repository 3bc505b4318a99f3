// A write-ahead log whose header is damaged. SQLite takes it for empty, and so the book for an older one.
#pragma once

#include <filesystem>

namespace tarebook {

/// Whether the header is damaged and pages that were committed behind it are not in the file. A power cut, too, may
/// damage the header, while the log is begun anew: then the file has all of its pages.
bool spoilt_log_holds_more(const std::filesystem::path& book, const std::filesystem::path& log);

}  // namespace tarebook
