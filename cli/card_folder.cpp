#include "card_folder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "tarebook/book/book.hpp"
#include "tarebook/units/bounded_file.hpp"

namespace tarebook::cli {
namespace {

constexpr std::size_t longest_card_file = 4096;

Result<BookCard> card_in(const std::filesystem::path& file) {
    const auto text = read_whole(file, longest_card_file);
    if (!text) return tl::unexpected(text.error());
    return parse_card(std::string_view(*text).substr(0, text->find_first_of("\r\n")));
}

}  // namespace

Result<BookCard> card_typed(const std::string& typed) {
    if (looks_like_card(typed)) return parse_card(typed);
    auto card = card_in(typed);
    if (!card && card.error().name == "file-missing")
        return tl::unexpected(
            Error{ErrorKind::usage, "card-format", "that is neither the card of a book nor a file with one", typed,
                  "card1.SHOP.BOOK.KEY, as `tarebook books card` prints it", "copy the whole word, without blanks"});
    return card;
}

CardFolder cards_in(const std::filesystem::path& folder, const BookInfo& book) {
    CardFolder out;
    std::vector<std::filesystem::path> files;
    std::error_code failed;
    for (auto at = std::filesystem::directory_iterator(folder, failed); !failed && at != end(at); at.increment(failed))
        if (at->path().extension() == ".card") files.push_back(at->path());
    const auto problem = [&](const std::filesystem::path& file, Error error) {
        out.problems.add({file.string(), 0, {}, std::move(error)});
    };
    if (failed || files.empty()) {
        problem(folder, {ErrorKind::usage, "no-cards", "there are no cards in that folder",
                         failed ? failed.message() : "no file that ends in .card",
                         "a folder with one file a book, such as truck-3.card",
                         "in each truck's book: tarebook books card > truck-3.card"});
        return out;
    }
    std::sort(files.begin(), files.end());
    std::map<BookId, std::string> seen;
    for (const auto& file : files) {
        const auto card = card_in(file);
        if (!card) {
            problem(file, card.error());
            continue;
        }
        if (const auto apart = not_apart(book.id, card->book); !apart) problem(file, apart.error());
        if (card->shop != book.shop) problem(file, other_shop(*card, book));
        const auto [first, fresh] = seen.emplace(card->book, file.filename().string());
        if (!fresh)
            problem(file, {ErrorKind::refused, "card-twice", "two files have a card of the same book",
                           fmt::format("{} and {}", first->second, file.filename().string()), "one card a book",
                           "keep the newer one: a book whose key was changed has a new card"});
        out.cards.push_back({file.stem().string(), *card});
    }
    return out;
}

}  // namespace tarebook::cli
