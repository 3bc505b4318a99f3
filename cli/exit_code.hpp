// Exit codes, for scripts.
#pragma once

namespace tarebook::cli {

inline constexpr int exit_done = 0;
inline constexpr int exit_refused = 1;     ///< nothing was written
inline constexpr int exit_usage = 2;       ///< a mistyped line; nothing was written
inline constexpr int exit_storage = 3;     ///< the book or the disk failed
inline constexpr int exit_exceptions = 4;  ///< recorded, or reported, with exceptions

}  // namespace tarebook::cli
