// Practice books and real ones stay apart, for every way in that a program has.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>

#include "support/book_room.hpp"
#include "tarebook/exchange/bundle.hpp"
#include "tarebook/record/record.hpp"
#include "tarebook/report/books_page.hpp"

using namespace tarebook;
namespace fs = std::filesystem;

namespace {

struct PracticeRoom {
    [[nodiscard]] Book book(const char* name, Purpose purpose, const std::optional<BookId>& shop = {}) const {
        return Book::create(books.book(name), "Quern", DisplayUnits::lb, "UTC", now(), shop, purpose);
    }
    static Moment now() { return {std::chrono::sys_days(std::chrono::year(2026) / 6 / 1), {}, "UTC"}; }
    test::BookRoom books;
};

std::string refused_trust(Book& book, const BookInfo& other) {
    Event e;
    e.when = PracticeRoom::now();
    e.recorded = e.when.at;
    e.what = kinds::Trust{hex(other.id), other.public_key, "other", {}};
    const auto done = record(book, {e}, {});
    return done ? "" : done.error().name;
}

}  // namespace

TEST_CASE("the id and the first event say it; a real book's first event is as it was") {
    const PracticeRoom room;
    const auto real = room.book("real", Purpose::real), practice = room.book("practice", Purpose::practice);
    CHECK_FALSE(real.info().practice());
    CHECK(practice.info().practice());
    CHECK(hex(practice.info().id).ends_with("5052414354494345"));
    CHECK(practice.info().shop == practice.info().id);
    CHECK(canonical_body(real.event(1)->event).find("practice") == std::string::npos);
    CHECK(canonical_body(practice.event(1)->event).find(R"("practice":"yes","public_key")") != std::string::npos);
    CHECK(Book::purpose_of(room.books.book("real")) == Purpose::real);
    CHECK(Book::purpose_of(room.books.book("practice")) == Purpose::practice);
    CHECK_FALSE(Book::purpose_of(room.books.book("none")));
    for (const auto* book : {&real, &practice}) {
        const auto card = parse_card(card_text(book->info()));
        REQUIRE(card);
        CHECK(card->book == book->info().id);
    }
    auto card = card_text(practice.info());
    CHECK_FALSE(parse_card("card1" + card.substr(card.find('.'))));
    card = card_text(real.info());
    CHECK_FALSE(parse_card("practice1" + card.substr(card.find('.'))));
}

TEST_CASE("neither trusts the other, or belongs to its shop") {
    const PracticeRoom room;
    auto real = room.book("real", Purpose::real), practice = room.book("practice", Purpose::practice);
    CHECK(refused_trust(real, practice.info()) == "practice-apart");
    CHECK(refused_trust(practice, real.info()) == "practice-apart");
    CHECK(refused_trust(practice, room.book("second", Purpose::practice, practice.info().shop).info()).empty());
    CHECK_THROWS_AS(static_cast<void>(room.book("third", Purpose::real, practice.info().shop)), StorageError);
    CHECK_THROWS_AS(static_cast<void>(room.book("third", Purpose::practice, real.info().shop)), StorageError);
    CHECK_FALSE(Book::purpose_of(room.books.book("third")));
}

TEST_CASE("neither merges what the other sends, also without its first event") {
    const PracticeRoom room;
    auto real = room.book("real", Purpose::real), practice = room.book("practice", Purpose::practice);
    Event e;
    e.when = PracticeRoom::now();
    e.recorded = e.when.at;
    e.what = kinds::Entry{EntryKind::site, "OAK", true, {{"owner", {"Quillpost", {}}}}};
    for (auto* book : {&real, &practice}) REQUIRE(record(*book, {e}, {}));
    for (const std::int64_t from : {1, 2}) {
        SendOptions options;
        options.from = from;
        const auto name = [&](const char* what) { return room.books.path / (what + std::to_string(from)); };
        REQUIRE(send_bundle(practice, name("p"), options, e.when.at));
        REQUIRE(send_bundle(real, name("r"), options, e.when.at));
        const auto into_real = merge_bundles(real, {name("p")}, e.when),
                   into_practice = merge_bundles(practice, {name("r")}, e.when);
        REQUIRE_FALSE(into_real);
        REQUIRE_FALSE(into_practice);
        CHECK(into_real.error().error.name == "practice-apart");
        CHECK(into_practice.error().error.name == "practice-apart");
        std::ifstream in(name("p"));
        std::string header;
        std::getline(in, header);
        CHECK(header.find(R"(Z","practice":true,"sender":)") != std::string::npos);
    }
    CHECK(real.event_count() == 2);
    CHECK(practice.event_count() == 2);
}
