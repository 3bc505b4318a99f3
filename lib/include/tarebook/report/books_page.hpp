// The pages about books: which ones this one knows and trusts, and what a merge brought.
#pragma once

#include "tarebook/book/merge.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook {

/// What another book needs to trust this one: shop, id and key in one word, "card1.SHOP.BOOK.KEY", all in hex; that of
/// a practice book begins with "practice1.".
struct BookCard {
    BookId shop{}, book{};
    std::string public_key;
};
std::string card_text(const BookInfo& info);
bool looks_like_card(std::string_view text);
/// Error: card-format.
Result<BookCard> parse_card(std::string_view text);
/// What is said of a card of another shop: other-shop.
Error other_shop(const BookCard& card, const BookInfo& book);

/// The book that is called so here, or whose id begins so. Errors: book-unknown.
Result<Book::KnownBook> book_called(const Book& book, std::string_view name);

Page books_page(const Book& book, const PageOptions& options);
/// After a word of trust in a book: what came out of quarantine, and which bundles are to be merged, or merged again.
/// `before`: the books as they were.
std::string admitted_text(const std::vector<Book::KnownBook>& before, const Book& book, const BookId& id);
/// `exceptions_before`: how many were open before the merge.
Page merged_page(const Book& book, const Merged& merged, std::int64_t exceptions_before, const PageOptions& options);

}  // namespace tarebook
