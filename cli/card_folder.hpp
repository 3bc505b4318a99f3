// A folder of cards, as an office collects them from its trucks: truck-3.card is the card of truck-3.
#pragma once

#include <filesystem>
#include <vector>

#include "tarebook/report/books_page.hpp"
#include "tarebook/units/file_problem.hpp"

namespace tarebook::cli {

/// A card given as a word, or as the first line of a file. Errors: card-format, and those of read_whole.
Result<BookCard> card_typed(const std::string& typed);

struct NamedCard {
    std::string called;  ///< the file's name without .card
    BookCard card;
};
struct CardFolder {
    std::vector<NamedCard> cards;  ///< in the order of their names
    FileProblems problems;
};
/// Reads every regular file of the folder that ends in .card; other files are ignored. Problems: a card of another shop
/// than `book`, a practice card for a real book, a book with two cards.
CardFolder cards_in(const std::filesystem::path& folder, const BookInfo& book);

}  // namespace tarebook::cli
