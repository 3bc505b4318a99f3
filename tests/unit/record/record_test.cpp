// What becomes of drafts, by each of the ways in: all or none, own ids, dry runs, lines beside each other, many.

#include "book/transaction.hpp"
#include "shop_book.hpp"
#include "support/book_tables.hpp"
#include "tarebook/units/refused.hpp"

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

// Each file in the book's folder, with its bytes.
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

TEST_CASE("a dry run of a command, of lines and of many drafts leaves each byte of the book as it was") {
    const ShopBook shop;
    { auto book = shop.open(); }  // a log that lay beside it is in the file now
    const auto before = whole_book(shop.path());
    RecordOptions dry;
    dry.dry_run = true;
    {
        auto book = shop.open(Access::read);
        CHECK(record(book, {weighed(2, "RC-1", "18lb", "row-1")}, dry).recorded_count == 1);
        CHECK(record_each(book, {{weighed(2, "RC-1", "18lb", "row-1"), {}, false}}, dry).recorded_count == 1);
        const auto many = record_many(book, List({weighed(2, "RC-1", "29lb", "row-1")}), dry);
        CHECK(many.recorded_count == 1);
        CHECK(many.exception_count == 1);
        CHECK_FALSE(record_many(book, List({weighed(2, "RC-9", "18lb", "row-1")}), dry));
        CHECK(book.head().seq == 3);
        CHECK_FALSE(book.has_own_ids());
    }
    CHECK(whole_book(shop.path()) == before);
}

TEST_CASE("a dry run does not wait for another program that is recording") {
    const ShopBook shop;
    auto writer = shop.open();
    auto reader = shop.open(Access::read);
    RecordOptions dry;
    dry.dry_run = true;
    const auto lock = Book::Transaction::begin(writer);
    CHECK(record(reader, {weighed(2, "RC-1", "18lb", "row-1")}, dry));
    CHECK(record_each(reader, {{weighed(2, "RC-1", "18lb", "row-1"), {}, false}}, dry));
    CHECK(record_many(reader, List({weighed(2, "RC-1", "18lb", "row-1")}), dry));
}

TEST_CASE("of many drafts all are recorded or none: for a form, an own id, a reference, a check") {
    const ShopBook shop;
    auto book = shop.open();
    REQUIRE(record(book, {weighed(2, "RC-1", "18lb", "row-1")}, {}));
    const auto head = book.head();
    const auto good = weighed(3, "RC-1", "18lb", "row-2");
    const auto with = [&](Event bad) {
        const auto done = record_many(book, List({good, std::move(bad), weighed(9, "RC-1", "18lb", "row-4")}), {});
        CHECK(book.head().digest == head.digest);
        CHECK_FALSE(book.event_with_own_id("row-2"));
        CHECK(done.recorded_count == 0);
        return problems(done);
    };
    CHECK(with(weighed(4, "RC-9", "18lb", "row-3")) == Names{"1 unknown-cylinder"});
    CHECK(with(weighed(4, "RC-1", "19lb", "row-1")) == Names{"1 own-id-other-content"});
    CHECK(with(draft(4, kinds::Condemn{"RC-1", " "}, "row-3")) == Names{"1 reason-empty"});
    auto tomorrow = weighed(28, "RC-1", "18lb", "row-3");
    tomorrow.recorded = at_hour(4).at;
    CHECK(with(tomorrow) == Names{"1 future-time"});  // the judge's word, once all have their places
    REQUIRE(record_many(book, List({good}), {}));
    CHECK(book.head().seq == head.seq + 1);
}

TEST_CASE("masses that together are more than can be held are a refusal of the command, and the book goes on") {
    const ShopBook shop;
    auto book = shop.open();
    const auto bought = [](int hour) {
        kinds::Receive k;
        k.cylinder = "RC-1";
        k.from = "Harlan Supply";
        k.weighing.net = lb("9000000lb");
        return draft(hour, k);
    };
    RecordOptions anyway;
    anyway.anyway = "a test of what fits";
    REQUIRE(record(book, {bought(2), bought(3)}, anyway));
    const auto head = book.head();
    const auto done = record(book, {bought(4)}, anyway);
    CHECK(problems(done) == Names{"0 too-large"});
    CHECK(done.error().kind == ErrorKind::usage);
    CHECK(book.head().digest == head.digest);
    CHECK_THROWS_AS(record_each(book, {{bought(4), {}}}, anyway), Refused);
    CHECK(book.head().digest == head.digest);
    CHECK(record(book, {weighed(5, "RC-1", "18lb")}, anyway));
}
