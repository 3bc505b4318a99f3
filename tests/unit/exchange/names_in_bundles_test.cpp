// Names of people go along with the events that have their codes, and are removed where the removal comes in.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>

#include "support/book_room.hpp"
#include "support/book_tables.hpp"
#include "tarebook/book/card.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/exchange/bundle.hpp"
#include "tarebook/record/record.hpp"

using namespace tarebook;
using tarebook::test::BookRoom;
namespace names_in_bundles_test {
namespace {

namespace fs = std::filesystem;

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
fs::path sent(const Book& book, const fs::path& to) {
    REQUIRE(send_bundle(book, to, {}, at_hour(20).at));
    return to;
}
std::string bytes(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

TEST_CASE("names go along with a bundle, a removal takes them out there, and an older bundle brings none back") {
    const BookRoom room;
    const std::string name = "Ottoline Brackwater";
    auto office = Book::create(room.book("office"), "Pelican", DisplayUnits::lb, "UTC", at_hour(0));
    auto truck = Book::create(room.book("truck"), "Pelican", DisplayUnits::lb, "UTC", at_hour(0), office.info().shop);
    CHECK(bytes(sent(truck, room.path / "bare")).starts_with(R"({"bundle":1,)"));
    REQUIRE(office.set_typing({"Wendeline Quarrymoss", "desk"}));
    REQUIRE(record(office, {draft(1, kinds::Entry{EntryKind::technician, "ob", true, {{"name", {name, {}}}}})}, {}));
    const auto code = office.code_of_person(name).value();
    const auto first = sent(office, room.path / "first");
    CHECK(bytes(first).starts_with(R"({"bundle":2,)"));
    CHECK(bytes(first).find(name) == std::string::npos);  // it is there in hex

    // Of a book that is not trusted nothing comes in; the same bundle again does once it is.
    REQUIRE(merge_bundles(truck, {first}, at_hour(2)));
    CHECK(truck.person_names().empty());
    REQUIRE(record(truck, {draft(3, kinds::Trust{hex(office.info().id), office.info().public_key, "office", {}})}, {}));
    CHECK(truck.name_of_person(code) == "(name not here)");
    const auto again = merge_bundles(truck, {first}, at_hour(4));
    REQUIRE(again);
    CHECK(again->wrote);
    CHECK(truck.name_of_person(code) == name);
    CHECK(truck.person_names().size() == 2);
    CHECK(truck.typed_by(office.event("E3")->digest) == Typing{"Wendeline Quarrymoss", "desk"});
    CHECK(truck.check(Judge({}, Notes::left_out)).problems.empty());

    REQUIRE(record(office, {draft(5, kinds::RemoveName{"by the person", code})}, {}));
    CHECK(office.has_bytes_of_removed());
    CHECK(office.lay_out_anew());
    CHECK_FALSE(office.has_bytes_of_removed());
    const auto second = sent(office, room.path / "second");
    REQUIRE(merge_bundles(truck, {second}, at_hour(6)));
    CHECK(truck.name_of_person(code) == "(name removed)");
    CHECK_FALSE(truck.has_bytes_of_removed());
    for (auto* book : {&office, &truck}) {
        REQUIRE(merge_bundles(*book, {first}, at_hour(7)));
        CHECK(book->name_of_person(code) == "(name removed)");
        for (const auto& part : test::whole_book(book->path())) {
            INFO(part.first);
            CHECK(part.second.find(name) == std::string::npos);
        }
        CHECK(book->check(Judge({}, Notes::left_out)).problems.empty());
    }
    // That something came, and who typed it, is no news.
    CHECK(truck.news_since(2).events == 0);
}

}  // namespace names_in_bundles_test
