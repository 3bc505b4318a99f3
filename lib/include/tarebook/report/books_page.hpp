// The pages about books: which ones this one knows and trusts, and what a merge brought.
#pragma once

#include "tarebook/book/card.hpp"
#include "tarebook/book/merge.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook {

/// The book that has this name here, or whose id begins so (eight digits or more). Error (refused): book-unknown.
Result<Book::KnownBook> book_called(const Book& book, std::string_view name);

/// All books that this one knows.
Page books_page(const Book& book, const PageOptions& options);
/// After trust in a book was recorded: what came out of quarantine, and which bundles are to be merged, or merged
/// again. `before`: the books as they were.
std::string admitted_text(const std::vector<Book::KnownBook>& before, const Book& book, const BookId& id);
/// The same, of what the book said of all books afterwards: for many words of trust at once.
std::string admitted_text(const std::vector<Book::KnownBook>& before, const std::vector<Book::KnownBook>& after,
                          const BookId& id);
/// What a merge brought. `exceptions_before`: how many were open before it.
Page merged_page(const Book& book, const Merged& merged, std::int64_t exceptions_before, const PageOptions& options);

}  // namespace tarebook
