#pragma once

#include "impl.hpp"

namespace tarebook {

/// How many branches of a book are in the file; those apart are not counted.
std::size_t branch_count(const Book::Impl& book, const BookId& id);
/// Numbers them by the set of the book's events alone. All projections have to be made anew afterwards.
void number_branches(Book::Impl& book, const BookId& id);

bool has_apart(const Book::Impl& book, const BookId& id);
/// As number_branches; also sets apart what is beyond `admitted` of each origin, and puts back into the chain what was
/// apart and is admitted. False if every admitted event stayed on its branch: then no projection has to be made anew.
/// `without_projections`: rows that may go to another branch even so.
bool set_apart(Book::Impl& book, const BookId& id, const std::map<std::int64_t, std::int64_t>& admitted,
               const std::unordered_set<std::int64_t>& without_projections = {});

}  // namespace tarebook
