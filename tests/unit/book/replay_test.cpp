// How far what is recorded reaches: which events are judged, and which stand as they are.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "counting_judge.hpp"
#include "tarebook/book/drafts.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace replay_test {

namespace {

constexpr int weighings = 100;

// Two cylinders, each weighed every tenth hour; every weight is a level, where states meet again.
Book weighed_book(const BookRoom& room) {
    auto book = Book::create(room.book("book"), "Pelican Refrigeration", DisplayUnits::lb, "UTC", at_hour(0));
    std::vector<Event> drafts{cylinder_entry("RC-1"), cylinder_entry("RC-2")};
    for (int i = 1; i <= weighings; ++i) {
        drafts.push_back(weighed(10 * i, "RC-1", fmt::format("{}lb", 20 + i % 7)));
        drafts.push_back(weighed(10 * i + 1, "RC-2", fmt::format("{}lb", 30 + i % 5)));
    }
    CHECK(record(book, drafts) == static_cast<int>(drafts.size()));
    return book;
}

class List : public Drafts {
 public:
    explicit List(std::vector<Event> events) : events_(std::move(events)) {}
    [[nodiscard]] std::size_t size() const override { return events_.size(); }
    [[nodiscard]] Instant at(std::size_t i) const override { return events_[i].when.at; }
    void make(std::size_t i, Event& out) const override { out = events_[i]; }

 private:
    std::vector<Event> events_;
};

}  // namespace

TEST_CASE("what comes at the end of its cylinder is judged alone") {
    const BookRoom room;
    auto book = weighed_book(room);
    CHECK(record(book, {weighed(5000, "RC-1", "25lb")}) == 1);
    CHECK(record(book, {weighed(5001, "RC-3", "25lb")}) == 1);
    CHECK(problems_of(book).empty());
}

TEST_CASE("a late entry reaches to where the states are again what stood there") {
    const BookRoom room;
    auto book = weighed_book(room);
    CHECK(record(book, {weighed(505, "RC-1", "29lb")}) == 2);  // and the next weight, which is a level
    CHECK(record(book, {weighed(5, "RC-1", "29lb")}) == 2);
    CHECK(problems_of(book).empty());
}

TEST_CASE("gas that moves between two levels is carried no further than the second") {
    const BookRoom room;
    auto book = weighed_book(room);
    kinds::Transfer k;
    k.from = "RC-2";
    k.into = "RC-1";
    k.from_weighing.net = lb("1lb");
    CHECK(record(book, {event_of(505, k)}) == 3);  // the next weight of each
    CHECK(problems_of(book).empty());
}

TEST_CASE("a void reaches as far as what it takes out did") {
    const BookRoom room;
    auto book = weighed_book(room);
    const auto target = book.event(book.event_count() - weighings);
    REQUIRE(target);
    REQUIRE(target->event.kind() == "weigh");
    CHECK(record(book, {event_of(6000, kinds::Void{hex(target->digest), "typed twice"})}) == 2);
    CHECK(problems_of(book).empty());
}

TEST_CASE("of two voids of one event the first in order of time is noted, whichever was recorded first") {
    const BookRoom room;
    auto book = weighed_book(room);
    const auto target = book.event(book.event_count() - weighings);
    REQUIRE(target);
    record(book, {event_of(6000, kinds::Void{hex(target->digest), "typed twice"})});
    record(book, {event_of(5990, kinds::Void{hex(target->digest), "typed twice"})});
    const auto first = book.event(book.event_count());
    REQUIRE(first);
    CHECK(book.event(target->event.seq)->voided_by == first->name);
    CHECK(problems_of(book).empty());
}

TEST_CASE("an import into the middle judges its rows and the next level after each run of them") {
    const BookRoom room;
    auto book = weighed_book(room);
    std::vector<Event> rows;
    for (int i = 0; i < 5; ++i) rows.push_back(weighed(502 + i, "RC-1", fmt::format("{}lb", 21 + i)));
    rows.push_back(weighed(4000, "RC-2", "31lb"));
    const List drafts(rows);
    const CountingJudge judge;
    std::vector<std::uint32_t> which{5, 4, 3, 2, 1, 0};  // in whatever order
    std::vector<Instant> seen;
    auto transaction = Book::Transaction::begin(book);
    transaction.judge_many(drafts, which, judge,
                           [&](std::size_t, Event& event, Outcome&) { seen.push_back(event.when.at); });
    transaction.commit_many();
    CHECK(judge.asked == 7);
    CHECK(seen.size() == 6);
    CHECK(std::is_sorted(seen.begin(), seen.end()));
    CHECK(problems_of(book).empty());
}

}  // namespace replay_test
