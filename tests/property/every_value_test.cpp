// A byte that another one takes its place, anywhere in the bundle of a book with an event of every kind: it is refused,
// whichever byte it is.
//
// TAREBOOK_VALUES=all takes every other value of every byte; TAREBOOK_VALUES=2000 draws so many. TAREBOOK_SEED repeats
// a draw.
#include <doctest/doctest.h>

#include <cstdlib>
#include <iostream>
#include <random>

#include "small_book.hpp"
#include "support/book_room.hpp"
#include "tarebook/exchange/bundle.hpp"

using namespace tarebook;
using namespace tarebook::test;

TEST_CASE("each other value of a byte of a bundle makes it refused" * files_alone("a small book of bytes")) {
    const RoomInMemory room;
    const auto file = room.path / "book";
    write_bytes(file, small_book(room.path));
    const auto book = Book::open(file, Access::read);
    const auto sent = send_bundle(book, room.path / "bundle", {}, Instant(std::chrono::seconds(1780326000)));
    REQUIRE(sent);
    const auto whole = bytes_of(room.path / "bundle");
    REQUIRE(verify_bundle(whole, book.info().shop));
    REQUIRE(book.head().seq >= 50);

    const char* said = std::getenv("TAREBOOK_VALUES");
    const bool all = said && std::string_view(said) == "all";
    const char* part = std::getenv("TAREBOOK_PROPERTY_PART");
    const auto seed = std::getenv("TAREBOOK_SEED") ? std::strtoull(std::getenv("TAREBOOK_SEED"), nullptr, 10)
                                                   : std::random_device()();
    std::mt19937_64 dice(seed);
    auto changed = whole;
    std::size_t tried = 0;
    const auto refused = [&](std::size_t at, unsigned turn) {
        changed[at] = static_cast<char>(static_cast<unsigned char>(whole[at]) ^ turn);
        INFO("byte ", at, " with bits ", turn, " turned; TAREBOOK_SEED=", seed);
        const bool taken = verify_bundle(changed, book.info().shop).has_value();
        if (taken) CHECK_FALSE(taken);
        changed[at] = whole[at];
        ++tried;
    };
    if (all)
        for (std::size_t at = 0; at < whole.size(); ++at)
            for (unsigned turn = 1; turn < 256; ++turn) refused(at, turn);
    const auto drawn = (said ? std::strtoull(said, nullptr, 10) : 2000) / (part ? std::strtoull(part, nullptr, 10) : 1);
    while (tried < drawn) refused(dice() % whole.size(), 1U + static_cast<unsigned>(dice() % 255U));
    CHECK(tried > 0);
    std::cout << "values: " << tried << " other bytes in a bundle of " << whole.size() << " bytes, " << book.head().seq
              << " events, all refused; TAREBOOK_SEED=" << seed << "\n";
}
