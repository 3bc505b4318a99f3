// Two programs with one book: the second sees what the first did, and who reads keeps nobody from recording.
#include "shop_book.hpp"

using namespace tarebook;
using namespace tarebook::test;
using Names = std::vector<std::string>;

TEST_CASE("of two programs that opened the book before either recorded, the second is told what the first did") {
    const ShopBook shop;
    auto first = shop.open(), second = shop.open();
    REQUIRE(record(first, {cylinder("RC-2")}, {}));
    CHECK(problems(record(second, {cylinder("RC-2")}, {})) == Names{"0 entry-exists"});
    REQUIRE(record(first, {weighed(2, "RC-1", "18lb", "one")}, {}));
    CHECK(record(second, {weighed(2, "RC-1", "18lb", "one")}, {}).only_already());
    const auto voided = draft(5, kinds::Void{hex(second.head().digest), "typed twice"});
    REQUIRE(record(first, {voided}, {}));
    CHECK(problems(record(second, {voided}, {})) == Names{"0 already-voided"});
}

TEST_CASE("an answer holds for the figures that were shown: where another program changed them, it is asked again") {
    const ShopBook shop;
    auto book = shop.open(), rival = shop.open();
    int asked = 0;
    RecordOptions options;
    options.ask = [&](const Finding&) {
        if (++asked == 1) CHECK(record(rival, {weighed(2, "RC-1", "22lb")}, {}));
        return true;
    };
    int made = 0;
    const auto done = record_made(
        book,
        [&]() -> Result<std::vector<Event>> {
            ++made;
            return std::vector{weighed(3, "RC-1", "30lb")};
        },
        options);
    REQUIRE(done);
    CHECK(asked == 2);
    CHECK(made >= 2);
    CHECK(done.head.seq == rival.head().seq);
}

TEST_CASE("a look that is held still shows one moment, while another program records") {
    const ShopBook shop;
    auto reader = shop.open(Access::read);
    reader.hold_still();
    const auto before = reader.head().seq;
    auto writer = shop.open();
    REQUIRE(record(writer, {weighed(2, "RC-1", "18lb")}, {}));
    CHECK(reader.head().seq == before);
    reader.let_go();
    CHECK(reader.head().seq == before + 1);
}
