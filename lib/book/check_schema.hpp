// Compares the schema of the file with the one that the migrations make. Foreign SQL in the file would run inside each
// command.
#pragma once

#include "check.hpp"

namespace tarebook {

/// Runs when a book is opened. StorageError if it has a trigger or a view that no migration makes.
void refuse_strange_sql(Book::Impl& book);

/// Runs before a book is upgraded. StorageError if its tables are not those of the schema number that it states.
void refuse_schema_of_another_number(Book::Impl& book, int version);

/// Compares tables, indexes and triggers, by name and by SQL.
void check_schema(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks);

/// Compares what the file states beside the events (company, units, zone, shop, key) with the first event, which alone
/// is signed.
void check_info(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks);

}  // namespace tarebook
