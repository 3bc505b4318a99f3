// A merge that receives from a large fleet is as many events as its heads need: no field is longer than one may be.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "support/book_room.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/event/event.hpp"
#include "tarebook/exchange/bundle.hpp"
#include "tarebook/record/record.hpp"
#include "tarebook/units/word_list.hpp"

using namespace tarebook;
namespace large_merge_test {
namespace {

Moment at_hour(int hour) {
    Moment m;
    m.at = std::chrono::sys_days(std::chrono::year(2026) / 1 / 2) + std::chrono::hours(hour);
    m.zone = "UTC";
    return m;
}
Event draft(int hour, What what) {
    Event e;
    e.when = at_hour(hour);
    e.recorded = e.when.at;
    e.what = std::move(what);
    return e;
}

}  // namespace

TEST_CASE("a merge of a hundred books is recorded as events that no check finds fault with, and names each book once") {
    constexpr int trucks = 100;
    const test::BookRoom room;
    auto office = Book::create(room.book("office"), "Pelican", DisplayUnits::lb, "UTC", at_hour(0));
    std::vector<std::filesystem::path> bundles;
    std::vector<Event> trusts;
    for (int n = 0; n < trucks; ++n) {
        const auto name = fmt::format("truck-{}", n);
        auto truck = Book::create(room.book(name), "Pelican", DisplayUnits::lb, "UTC", at_hour(0), office.info().shop);
        trusts.push_back(draft(1, kinds::Trust{hex(truck.info().id), truck.info().public_key, name, {}}));
        bundles.push_back(room.path / (name + ".bundle"));
        REQUIRE(send_bundle(truck, bundles.back(), {}, at_hour(2).at));
    }
    REQUIRE(record(office, std::move(trusts), {}));
    const auto merged = merge_bundles(office, bundles, at_hour(3));
    REQUIRE(merged);
    CHECK(merged->added == trucks);
    CHECK(office.open_findings().empty());
    std::size_t heads = 0, merges = 0;
    for (const auto& stored : office.events_of_kind(kinds::Merge::name)) {
        const auto& received = std::get<kinds::Merge>(stored.event.what).heads;
        CHECK(received.size() <= 10'240);
        heads += split(received, ' ').size();
        ++merges;
    }
    CHECK(heads == trucks);
    CHECK(merges == 2);
    CHECK(office.check(Judge({}, Notes::left_out)).problems.empty());
}

}  // namespace large_merge_test
