// What a reader of the newest events learns: which rows are new, and what happened last.
#include <doctest/doctest.h>

#include "counting_judge.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace rows_test {

TEST_CASE(
    "who keeps the last rows learns which ones are new; events are told backwards in the order in which they "
    "happened") {
    const BookRoom room;
    const auto place = room.book("book");
    auto book = Book::create(place, "Pelican Refrigeration", DisplayUnits::lb, "UTC", at_hour(0));
    record(book, {cylinder_entry("RC-1"), weighed(10, "RC-1", "20lb")});
    const auto last = book.last_rows();
    REQUIRE(last.size() == 1);
    CHECK(book.rows_since(last, 0) == std::vector<std::int64_t>{});
    record(book, {weighed(30, "RC-1", "20lb"), weighed(20, "RC-1", "20lb")});
    const auto since = book.rows_since(last, 2);
    REQUIRE(since);
    CHECK(since->size() == 2);
    CHECK(since->back() == book.last_rows().front());
    CHECK_FALSE(book.rows_since(last, 1));
    CHECK_FALSE(book.rows_since({last.front() + 100}, 5));  // of another copy of the book
    CHECK(book.newest_event()->id == since->back());

    std::vector<Instant> told;
    book.each_event_back(at_hour(25).at, 2, "",
                         [&](const StoredEvent& stored) { told.push_back(stored.event.when.at); });
    CHECK(told == std::vector<Instant>{at_hour(20).at, at_hour(10).at});
    told.clear();
    book.each_event_back(Instant::max(), 100, "", [&](const StoredEvent& stored) {
        told.push_back(stored.event.when.at);
        return told.size() == 1 ? Walk::stop : Walk::on;
    });
    CHECK(told == std::vector<Instant>{at_hour(30).at});
    told.clear();
    book.each_event_back(Instant::max(), 100, kinds::Entry::name,
                         [&](const StoredEvent& stored) { told.push_back(stored.event.when.at); });
    CHECK(told.size() == 1);
    book.each_event_back(Instant::max(), 2, kinds::Entry::name, [&](const StoredEvent&) { told.clear(); });
    CHECK(told.size() == 1);  // it is none of the last two
}

}  // namespace rows_test
