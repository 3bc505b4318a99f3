// What only a file has: settings of a connection that SQL cannot make, and copies of whole files. Precondition of each:
// the connection is one to a file, not to a server.
#pragma once

#include "db.hpp"

namespace tarebook {

/// Whether the connection, when it is the last one to close, leaves the log as it is. At first it puts it into the
/// file.
void leave_log_on_close(Db& db, bool leave);
/// Of a book's file no view is believed.
void allow_views(Db& db);
/// Copies every page into the file `to`, which is there.
void copy_whole(Db& from, const std::filesystem::path& to);

}  // namespace tarebook
