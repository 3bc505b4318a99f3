// A folder of cards, as an office has them from its trucks: truck-3.card holds the card of truck-3.
#pragma once

#include <filesystem>
#include <vector>

#include "tarebook/report/books_page.hpp"
#include "tarebook/units/file_problem.hpp"

namespace tarebook::cli {

/// A card as a word, or the first line of a file. Errors: card-format, and those of read_whole.
Result<BookCard> card_typed(const std::string& typed);

struct NamedCard {
    std::string called;  ///< the file's name without .card
    BookCard card;
};
struct CardFolder {
    std::vector<NamedCard> cards;  ///< in the order of their names
    FileProblems problems;
};
/// Every regular file of the folder that ends in .card; others are left alone. A card of another shop than `book` has,
/// a practice card for a real book, and a book with two cards are problems.
CardFolder cards_in(const std::filesystem::path& folder, const BookInfo& book);

}  // namespace tarebook::cli
