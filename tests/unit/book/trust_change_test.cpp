// A word about a book, or about an owner, judges what it concerns and nothing else.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "counting_judge.hpp"
#include "tarebook/exchange/bundle.hpp"

using namespace tarebook;
using namespace tarebook::test;

namespace trust_change_test {

namespace {

constexpr int own_events = 50;

struct Shop {
    BookRoom room;
    std::optional<Book> office, truck;
    kinds::Trust card;

    Shop() {
        office = Book::create(room.book("office"), "Pelican Refrigeration", DisplayUnits::lb, "UTC", at_hour(0));
        truck = Book::create(room.book("truck"), "Pelican Refrigeration", DisplayUnits::lb, "UTC", at_hour(0),
                             office->info().shop);
        card = {hex(truck->info().id), truck->info().public_key, "truck", {}};
        std::vector<Event> drafts{cylinder_entry("RC-1"), cylinder_entry("RC-2")};
        for (int i = 1; i <= own_events; ++i)
            drafts.push_back(weighed(100 * i, "RC-1", fmt::format("{}lb", 20 + i % 7)));
        drafts.push_back(weighed(1000, "RC-2", "30lb"));
        record(*office, drafts);
    }
    void truck_sends(std::vector<Event> drafts) {
        record(*truck, std::move(drafts));
        const auto bundle = room.path / fmt::format("bundle-{}", ++bundles);
        REQUIRE(send_bundle(*truck, bundle, {}, at_hour(8500).at));
        REQUIRE(merge_bundles(*office, {bundle}, at_hour(8500)));  // the clock goes on
    }
    int bundles = 0;
};

}  // namespace

TEST_CASE("to trust a book judges its events, and what stands next in their cylinders") {
    Shop shop;
    shop.truck_sends({weighed(1005, "RC-2", "31lb"), weighed(1700, "RC-9", "22lb")});
    CHECK(shop.office->steps("RC-9").empty());
    // the trust, the truck's start and its two weights; nothing of RC-1
    CHECK(record(*shop.office, {event_of(9000, shop.card)}) == 4);
    CHECK(shop.office->steps("RC-9").size() == 1);
    CHECK(shop.office->steps("RC-2").size() == 3);  // with its entry
    CHECK(problems_of(*shop.office).empty());
}

TEST_CASE("to withdraw trust takes out what the book did, and gives back what it had voided") {
    Shop shop;
    record(*shop.office, {event_of(8000, shop.card)});
    const auto target = shop.office->event(shop.office->event_count() - 1);  // the weight of RC-2
    REQUIRE(target);
    REQUIRE(target->event.kind() == "weigh");
    shop.truck_sends({weighed(155, "RC-1", "31lb"), weighed(1700, "RC-9", "22lb"),
                      event_of(1800, kinds::Void{hex(target->digest), "not this one"})});
    CHECK(shop.office->steps("RC-2").size() == 1);  // its entry
    kinds::Withdraw k;
    k.book = shop.card.book;
    k.why = "the device is lost";
    // the withdrawal, the weight of RC-2 that counts again, the next weight of RC-1, whose gap is another one, and
    // where there are several books the one after it
    CHECK(record(*shop.office, {event_of(9000, k)}) == 4);
    CHECK(shop.office->steps("RC-9").empty());
    CHECK(shop.office->steps("RC-2").size() == 2);
    CHECK(shop.office->steps("RC-1").size() == own_events + 1);
    CHECK(problems_of(*shop.office).empty());
}

TEST_CASE("who opened the book before sees an event that was set apart since, on its new branch") {
    Shop shop;
    record(*shop.office, {event_of(8000, shop.card)});
    shop.truck_sends({weighed(1700, "RC-9", "22lb")});
    const auto steps = shop.office->steps("RC-9");
    REQUIRE(steps.size() == 1);
    const auto reader = Book::open(shop.room.book("office"), Access::read);
    const auto before = reader.event(steps.front().event_id);
    REQUIRE(before);
    CHECK(before->event.branch == 0);
    record(*shop.office, {event_of(9000, kinds::Withdraw{shop.card.book, "the device is lost", {}})});
    const auto set_apart = reader.event(before->digest);
    REQUIRE(set_apart);
    CHECK(set_apart->event.branch == 0x8000);
    CHECK(set_apart->quarantined);
}

TEST_CASE("a book that goes on from a copy counts what the copy had" * files_alone("restore")) {
    Shop shop;
    shop.truck_sends({weighed(1700, "RC-9", "22lb")});
    const auto again = shop.room.path / "again";
    REQUIRE(Book::restore(shop.room.book("office"), again, CountingJudge(), at_hour(9000).at));
    auto book = Book::open(again, Access::write);
    CHECK(book.steps("RC-1").size() == own_events + 1);
    CHECK(book.steps("RC-9").empty());
    CHECK(problems_of(book).empty());
    record(book, {event_of(9001, shop.card)});
    CHECK(book.steps("RC-9").size() == 1);
    CHECK(problems_of(book).empty());
}

TEST_CASE("another owner of a site judges its circuits and the cylinders with the owner's gas") {
    const BookRoom room;
    auto book = Book::create(room.book("book"), "Pelican Refrigeration", DisplayUnits::lb, "UTC", at_hour(0));
    std::vector<Event> drafts;
    for (const auto* site : {"OAK", "ELM"}) {
        drafts.push_back(entry(EntryKind::site, site, {{"owner", {std::string(site) + " Foods", {}}}}));
        drafts.push_back(entry(EntryKind::appliance, std::string(site) + "/RACK", {{"refrigerant", {"R-22", {}}}}));
    }
    for (const auto* code : {"RC-1", "RC-2"}) drafts.push_back(cylinder_entry(code));
    const auto recovered = [](int hour, const char* circuit, const char* into, int from) {
        kinds::Recover k;
        k.circuit = circuit;
        k.into = into;
        k.weighing = {lb(fmt::format("{}lb", from)), lb(fmt::format("{}lb", from + 1)), {}};
        return event_of(hour, k);
    };
    for (int i = 0; i < 10; ++i) {
        drafts.push_back(recovered(10 + i, "OAK/RACK", "RC-1", 17 + i));
        drafts.push_back(recovered(30 + i, "ELM/RACK", "RC-2", 17 + i));
    }
    record(book, drafts);
    const auto judged = record(book, {entry(EntryKind::site, "OAK", {{"owner", {"Larch Foods", {}}}}, false)});
    CHECK(judged == 1 + 10);  // the entry, and what touched OAK or RC-1
    CHECK(problems_of(book).empty());
}

TEST_CASE("a book starts in a country that there is, or in none that anybody said") {
    BookRoom room;
    const auto start = [&](const std::string& country) {
        return Book::create(room.book("book"), "Pelican Refrigeration", DisplayUnits::lb, "UTC", at_hour(0), {},
                            Purpose::real, country);
    };
    for (const std::string wrong : {"ZZ", "de", "DEU", "Germany"}) {
        CHECK_THROWS_AS(start(wrong), StorageError);
        CHECK_FALSE(std::filesystem::exists(room.book("book")));
    }
    CHECK(start("DE").info().country == "DE");
}

}  // namespace trust_change_test
