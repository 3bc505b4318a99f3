// The card of a book: what another book needs to trust it. It holds no secret; what matters is that it is the right
// one, so two people compare its number, which is short enough to be read over a telephone.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/book/book.hpp"

namespace tarebook {

/// What another book needs to trust this one: shop, id and key. In one word "card1.SHOP.BOOK.KEY", all in hex; that of
/// a practice book begins with "practice1.".
struct BookCard {
    BookId shop{}, book{};
    std::string public_key;
};
/// The card of a book.
BookCard card_of(const BookInfo& info);
/// A card as one word.
std::string card_text(const BookCard& card);
/// The book's card as one word.
std::string card_text(const BookInfo& info);
/// Whether the text begins as a card does.
bool looks_like_card(std::string_view text);
/// Reads a card. Error (usage): card-format.
Result<BookCard> parse_card(std::string_view text);
/// The error for a card of another shop: other-shop (refused).
Error other_shop(const BookCard& card, const BookInfo& book);

/// Sixteen digits in groups of four, "4821 5530 9914 0276", from the SHA-256 of the whole card: 53 bits. A forger who
/// wants a card with the number of another one has to make about 9e15 pairs of keys, some three thousand years of one
/// core that makes 100 000 a second; two cards of his own with one number are his alone, and gain him nothing.
std::string card_number(const BookCard& card);
/// The number as card_number writes it, of what a person typed, with blanks or hyphens anywhere. Error (usage):
/// number-format.
Result<std::string> number_typed(std::string_view text);

}  // namespace tarebook
