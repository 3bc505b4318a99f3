// The schema of the file against the one that the migrations make. SQL that somebody else left in the file would run
// inside each command.
#pragma once

#include "check.hpp"

namespace tarebook {

/// When a book is opened: StorageError where it has a trigger or a view that no migration makes.
void refuse_strange_sql(Book::Impl& book);

/// Before a book is brought up to date: StorageError where its tables are not those of the schema that it says it has.
void refuse_schema_of_another_number(Book::Impl& book, int version);

/// Tables, indexes and triggers, by name and by SQL.
void check_schema(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks);

/// What the file says of itself beside the events (company, units, zone, shop, key), against the first event, by which
/// alone it is signed.
void check_info(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks);

}  // namespace tarebook
