#include "tarebook/book/card.hpp"

#include <fmt/format.h>

#include "tarebook/units/utf8.hpp"

namespace tarebook {
namespace {

// That of a practice book begins otherwise, so that it is seen, and that a program which knows none refuses it.
constexpr std::string_view real_card = "card1.", practice_card = "practice1.";

std::string in_fours(std::string_view digits) {
    std::string out;
    for (std::size_t i = 0; i < digits.size(); ++i) {
        if (i > 0 && i % 4 == 0) out += ' ';
        out += digits[i];
    }
    return out;
}

}  // namespace

BookCard card_of(const BookInfo& info) {
    return {info.shop, info.id, info.public_key};
}

std::string card_text(const BookCard& card) {
    return fmt::format("{}{}.{}.{}", is_practice(card.book) ? practice_card : real_card, hex(card.shop), hex(card.book),
                       card.public_key);
}

std::string card_text(const BookInfo& info) {
    return card_text(card_of(info));
}

bool looks_like_card(std::string_view text) {
    return text.starts_with(real_card) || text.starts_with(practice_card);
}

Error other_shop(const BookCard& card, const BookInfo& book) {
    return {ErrorKind::refused, "other-shop",   "that book is of another shop",
            hex(card.shop),     hex(book.shop), "a book says its shop when it is started: tarebook start --shop CARD"};
}

Result<BookCard> parse_card(std::string_view text) {
    const auto bad = [&] {
        return fail({ErrorKind::usage, "card-format", "that is not the card of a book", shortened(text, 80),
                     "card1.SHOP.BOOK.KEY, as `tarebook books card` prints it", "copy the whole word, without blanks"});
    };
    while (!text.empty() && (text.back() == '\n' || text.back() == '\r' || text.back() == ' ')) text.remove_suffix(1);
    const auto begin = text.starts_with(practice_card) ? practice_card : real_card;
    if (!text.starts_with(begin) || text.size() != begin.size() + 32 + 1 + 32 + 1 + 64) return bad();
    text.remove_prefix(begin.size());
    const auto shop = book_id_from_hex(text.substr(0, 32));
    const auto book = book_id_from_hex(text.substr(33, 32));
    const auto key = text.substr(66);
    const bool practice = begin == practice_card;
    if (!shop || !book || is_practice(*shop) != practice || is_practice(*book) != practice || text[32] != '.' ||
        text[65] != '.' || !digest_from_hex(key))
        return bad();
    return BookCard{*shop, *book, std::string(key)};
}

std::string card_number(const BookCard& card) {
    const auto digest = digest_of(fmt::format("tarebook number\n{}\n", card_text(card)));
    std::uint64_t number = 0;
    for (std::size_t i = 0; i < 8; ++i) number = number << 8U | digest[i];
    constexpr std::uint64_t numbers = 10'000'000'000'000'000U;  // a 1844th of what 64 bits hold: no number is favoured
    return in_fours(fmt::format("{:016}", number % numbers));
}

Result<std::string> number_typed(std::string_view text) {
    std::string digits;
    for (const char c : text) {
        if (c == ' ' || c == '-') continue;
        if (c < '0' || c > '9' || digits.size() == 16) {
            digits.clear();
            break;
        }
        digits += c;
    }
    if (digits.size() == 16) return in_fours(digits);
    return usage("number-format", "that is not the number of a card", shortened(text, 40),
                 "sixteen digits, as `tarebook sync` shows them on the other device",
                 "read it once more to each other");
}

}  // namespace tarebook
