// No test makes a book in a file without saying so.
#include <doctest/doctest.h>

#include "counting_judge.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace book_room_test {

namespace {

Book made(const std::filesystem::path& place) {
    return Book::create(place, "Pelican Refrigeration", DisplayUnits::lb, "UTC", at_hour(0));
}

std::string refusal_of(const std::filesystem::path& place) {
    try {
        made(place);
    } catch (const StorageError& e) {
        return e.what();
    }
    return "none";
}

}  // namespace

TEST_CASE("a book whose place no room gave is not opened in a file") {
    const BookRoom room;
    const auto said = refusal_of(room.path / "of-my-own");
    INFO(said);
    CHECK(said.find("without a BookRoom") != std::string::npos);
    CHECK(said.find("of-my-own") != std::string::npos);
    CHECK_FALSE(made(room.book("given")).info().id == BookId{});
}

TEST_CASE("a test that says that it is about files opens them" * files_alone("the promise itself")) {
    const BookRoom room;
    CHECK(refusal_of(room.path / "of-my-own") == "none");
}

TEST_CASE("a room copies a book, sets it back, and knows its name") {
    const BookRoom room;
    const auto place = room.book("one");
    CHECK(room.book("one") == place);
    static_cast<void>(made(place));
    const auto kept = room.copy(place, "kept");
    const auto events = [&](const std::filesystem::path& at) { return Book::open(at, Access::read).event_count(); };
    {
        auto book = Book::open(place, Access::write);
        record(book, {cylinder_entry("RC-1")});
    }
    CHECK(events(place) == 2);
    CHECK(events(kept) == 1);
    room.set_back(place, kept);
    CHECK(events(place) == 1);
    CHECK(room.name_of(kept) == "kept");
}

}  // namespace book_room_test
