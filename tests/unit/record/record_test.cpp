// What becomes of drafts, by each of the ways in: all or none, own ids, dry runs, lines beside each other, many.
#include "shop_book.hpp"

using namespace tarebook;
using namespace tarebook::test;
using Names = std::vector<std::string>;

namespace {

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

TEST_CASE("one draft that is refused leaves all of a command out, and each problem is told") {
    const ShopBook shop;
    auto book = shop.open();
    const auto before = book.head().seq;
    const auto done = record(book, {weighed(2, "RC-1", "18lb"), weighed(3, "RC-9", "18lb"), cylinder("RC-1")}, {});
    CHECK(problems(done) == Names{"1 unknown-cylinder", "2 entry-exists"});
    CHECK(done.error().name == "unknown-cylinder");
    CHECK(done.events.empty());
    CHECK(book.head().seq == before);
}

TEST_CASE("the same own id with the same content is recorded once, with another content refused") {
    const ShopBook shop;
    auto book = shop.open();
    const auto first = record(book, {weighed(2, "RC-1", "18lb", "line-1")}, {});
    REQUIRE(first);
    const auto head = book.head();
    CHECK(head.seq == first.head.seq);
    const auto again = record(book, {weighed(2, "RC-1", "18lb", "line-1")}, {});
    REQUIRE(again);
    CHECK(again.only_already());
    CHECK(again.first().digest == first.first().digest);
    CHECK(problems(record(book, {weighed(2, "RC-1", "19lb", "line-1")}, {})) == Names{"0 own-id-other-content"});
    CHECK(book.head().digest == head.digest);
}

TEST_CASE("a dry run says what a recording would, and leaves the book as it is") {
    const ShopBook shop;
    auto book = shop.open(Access::read);
    RecordOptions dry;
    dry.dry_run = true;
    const auto head = book.head();
    const auto would = record(book, {weighed(2, "RC-1", "27lb")}, dry);
    CHECK(would);
    CHECK(would.events.empty());
    REQUIRE(would.exception_count == 1);  // ten pounds that nobody put in
    CHECK(would.exceptions[0].finding.check == "gap");
    CHECK(book.head().digest == head.digest);
    auto writer = shop.open();
    const auto is = record(writer, {weighed(2, "RC-1", "27lb")}, {});
    REQUIRE(is.exception_count == 1);
    CHECK(is.exceptions[0].finding.text == would.exceptions[0].finding.text);
}

TEST_CASE("lines stand for themselves: what is recorded already is left out, what cannot be read is passed by") {
    const ShopBook shop;
    auto book = shop.open();
    REQUIRE(record(book, {weighed(2, "RC-1", "18lb", "line-1")}, {}));
    std::vector<DraftLine> lines(3);
    lines[0].draft = weighed(2, "RC-1", "18lb", "line-1");
    lines[1].draft = weighed(3, "RC-1", "18.1lb", "line-2");
    lines[2].draft = weighed(4, "RC-9", "18lb", "line-3");
    const auto refused = record_each(book, lines, {});
    CHECK(problems(refused) == Names{"2 unknown-cylinder"});
    lines.pop_back();
    const auto done = record_each(book, lines, {});
    REQUIRE(done);
    CHECK(done.already_count == 1);
    CHECK(done.recorded_count == 1);
}

TEST_CASE("many drafts, in whatever order they come, are recorded as one by one") {
    const ShopBook one, other;
    std::vector<Event> drafts;
    for (int i = 0; i < 40; ++i)
        drafts.push_back(weighed(100 - 2 * i, "RC-1", std::to_string(17 + i % 3) + "lb", "row-" + std::to_string(i)));
    auto many = one.open();
    const auto at_once = record_many(many, List(drafts), {});
    REQUIRE(at_once);
    CHECK(at_once.recorded_count == drafts.size());
    auto single = other.open();
    for (const auto& d : drafts) REQUIRE(record(single, {d}, {}));
    const auto state = [](const Book& book) { return book.cylinder_now("RC-1")->state; };
    CHECK(total(state(many).lots) == total(state(single).lots));
    CHECK(many.open_findings().size() == single.open_findings().size());
    const auto again = record_many(many, List(drafts), {});
    CHECK(again.recorded_count == 0);
    CHECK(again.already_count == drafts.size());
}
