#pragma once

#include "impl.hpp"

namespace tarebook {

/// How many branches of a book lie in the file, without those apart.
std::size_t branch_count(const Book::Impl& book, const BookId& id);
/// Numbers them by the set of the book's events alone; all projections have to be made anew then.
void number_branches(Book::Impl& book, const BookId& id);

bool has_apart(const Book::Impl& book, const BookId& id);
/// The same, with what lies beyond `admitted` of each origin set apart, and what was apart and does not lie beyond it
/// back in the chain. False where whatever is admitted stayed on its branch: then no projection has to be made anew.
bool set_apart(Book::Impl& book, const BookId& id, const std::map<std::int64_t, std::int64_t>& admitted);

}  // namespace tarebook
