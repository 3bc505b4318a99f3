#pragma once

#include "impl.hpp"

namespace tarebook {

/// How many branches of a book lie in the file.
std::size_t branch_count(const Book::Impl& book, const BookId& id);
/// Numbers them by the set of the book's events alone; all projections have to be made anew then.
void number_branches(Book::Impl& book, const BookId& id);

}  // namespace tarebook
