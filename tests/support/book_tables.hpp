// The tables of a book as they are, wherever the book is.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <string>

#include "book/db.hpp"

namespace tarebook::test {

/// A connection to the database at a place of a BookRoom; one that is not there yet is made, and is empty.
std::unique_ptr<Db> tables_at(const std::filesystem::path& place);
/// A database for tables that a test makes by itself.
std::unique_ptr<Db> own_tables_at(const std::filesystem::path& place);

/// A row as text: columns end in "|", bytes are in hex, nothing is NULL.
std::string text_of_row(const Answer& row, int columns);

/// All that there is of a book: each file in its folder with its bytes, or each table with its rows.
std::map<std::string, std::string> whole_book(const std::filesystem::path& place);

}  // namespace tarebook::test
