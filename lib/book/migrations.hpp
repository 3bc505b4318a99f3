// Numbered SQL files of schema/book, each run once in its own transaction; PRAGMA user_version keeps the number.
#pragma once

namespace tarebook {
extern const char* const migration_sql[];
extern const int newest_schema;

/// The same of schema/office, for a book on a server; its table schema_version keeps the number.
extern const char* const office_sql[];
extern const int newest_office_schema;
}  // namespace tarebook
