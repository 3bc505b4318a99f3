// Fills the analysts' file from a book: all of it, or what may have changed.
#pragma once

#include <functional>

#include "schema.hpp"
#include "table.hpp"
#include "tarebook/analysis/analysts_file.hpp"

namespace tarebook::analysis {

using Progress = std::function<void(double)>;

/// Makes schema and rows in an empty file, in the open transaction.
AnalystsFileWritten make_tables(const Book& book, AnalystsDb& file, const Progress& progress);
/// Brings the rows up to date, in the open transaction. Precondition: the file was made of this book.
AnalystsFileWritten update_tables(const Book& book, AnalystsDb& file, const Progress& progress);
/// The book that the file was made of, in hex. Empty for a file of another schema, and for one that is not an analysts'
/// file.
std::string made_of(AnalystsDb& file);

}  // namespace tarebook::analysis
