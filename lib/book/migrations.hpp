// Numbered SQL files of schema/book, each run once in its own transaction; PRAGMA user_version keeps the number.
#pragma once

namespace tarebook {
extern const char* const migration_sql[];
extern const int newest_schema;
}  // namespace tarebook
