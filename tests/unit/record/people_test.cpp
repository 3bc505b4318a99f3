// Names of people beside the chain: codes in events, who types, and a name that is removed.
#include "tarebook/book/people.hpp"

#include <algorithm>

#include "shop_book.hpp"
#include "support/book_tables.hpp"
#include "tarebook/checks/checks.hpp"

using namespace tarebook;
using namespace tarebook::test;
namespace people_test {
namespace {

Event technician(int hour, const std::string& code, const std::string& name, std::optional<std::string> own_id = {}) {
    return draft(hour, kinds::Entry{EntryKind::technician, code, true, {{"name", {name, {}}}}}, std::move(own_id));
}
std::string name_of(const Book& book, const std::string& code) {
    const auto* entry = book.entries().find(EntryKind::technician, code);
    REQUIRE(entry);
    return entry->text("name", {Instant::max(), {}, 0}).value_or("none");
}
std::vector<std::string> kinds_of(const Book& book) {
    std::vector<std::string> out;
    book.each_event([&](const StoredEvent& e) { out.emplace_back(e.event.kind()); });
    return out;
}

}  // namespace

TEST_CASE("a code is that of its name and salt alone") {
    const std::string salt(person_salt_size, 'x'), other(person_salt_size, 'y');
    const auto code = person_code(salt, "Ana Reyes");
    CHECK(is_person_code(code));
    CHECK(code != person_code(other, "Ana Reyes"));
    CHECK(code != person_code(salt, "Ana Reyes "));
    // SHA-256 of "tarebook person", the salt in hex and the name on three lines; computed with Python's hashlib.
    CHECK(code == "person:fafd43e1a35b33f266ba89433f322e68");
    CHECK_FALSE(is_person_code("Ana Reyes"));
    CHECK_FALSE(is_person_code("person:fafd43e1"));
    CHECK_FALSE(is_person_code("person:FAFD43E1A35B33F266BA89433F322E68"));
    CHECK(short_person(code) == "person fafd43e1");
}

TEST_CASE("an event has a code, the register a name; the same name has one code") {
    const ShopBook shop;
    auto book = shop.open();
    const auto done = record(book, {technician(2, "ana", "Ana Reyes", "a"), technician(2, "bo", "Ana Reyes")}, {});
    REQUIRE(done);
    const auto said = [&](std::size_t i) {
        return std::get<kinds::Entry>(done.events[i].event.what).values.at("name").text;
    };
    CHECK(is_person_code(said(0)));
    CHECK(said(0) == said(1));
    CHECK(book.code_of_person("Ana Reyes") == said(0));
    CHECK(book.name_of_person(said(0)) == "Ana Reyes");
    CHECK(name_of(book, "ana") == "Ana Reyes");
    CHECK(book.events_that_say("Ana Reyes").empty());
    CHECK(record(book, {technician(2, "ana", "Ana Reyes", "a")}, {}).only_already());
    const auto people = book.people();
    REQUIRE(people.size() == 1);
    CHECK(people[0].technicians == std::vector<std::string>{"ana", "bo"});
    CHECK_FALSE(people[0].typed);
}

TEST_CASE("who types is recorded before the first event of another person or device, and once") {
    const ShopBook shop;
    auto book = shop.open();
    REQUIRE(book.set_typing({"Ana Reyes", "desk"}));
    const auto done = record(book, {weighed(2, "RC-1", "17lb")}, {});
    REQUIRE(done);
    CHECK(done.events.size() == 1);
    CHECK(done.recorded_count == 1);
    CHECK(done.head.seq == done.events[0].event.seq);
    CHECK(book.typed_by(done.events[0]) == Typing{"Ana Reyes", "desk"});
    CHECK_FALSE(book.typed_by("E1"));
    REQUIRE(record(book, {weighed(3, "RC-1", "17lb")}, {}));
    REQUIRE(book.set_typing({"Ana Reyes", "laptop"}));
    REQUIRE(record(book, {weighed(4, "RC-1", "17lb")}, {.dry_run = true}));
    REQUIRE(record(book, {weighed(4, "RC-1", "17lb")}, {}));
    REQUIRE(book.set_typing({{}, {}}));
    REQUIRE(record(book, {weighed(5, "RC-1", "17lb")}, {}));
    REQUIRE(record(book, {weighed(6, "RC-1", "17lb")}, {}));
    CHECK(kinds_of(book) == std::vector<std::string>{"start", "entry", "weigh", "typist", "weigh", "weigh", "typist",
                                                     "weigh", "typist", "weigh", "weigh"});
    CHECK_FALSE(book.typed_by("E11"));
    CHECK(book.check(Judge({}, Notes::left_out)).problems.empty());
    for (const auto* bad : {"", " ", "=SUM(1)", "two\nlines", "\xff"})
        CHECK(book.set_typing({bad, "desk"}).error().name == "typist-form");
    CHECK(book.set_typing({"Ana", "@desk"}).error().name == "typist-form");
}

TEST_CASE("a clock that went back shows through a `typist` that stands between") {
    const ShopBook shop;
    auto book = shop.open();
    REQUIRE(record(book, {weighed(9, "RC-1", "17lb")}, {}));
    REQUIRE(book.set_typing({"Ana Reyes", "desk"}));
    const auto done = record(book, {weighed(3, "RC-1", "17lb")}, {});
    REQUIRE(done);
    const auto went_back = [](const DraftException& e) { return e.finding.check == "clock-went-back"; };
    CHECK(std::count_if(done.exceptions.begin(), done.exceptions.end(), went_back) == 1);
    CHECK(book.findings("E5").empty());  // the event of the typist
    CHECK(book.check(Judge({}, Notes::left_out)).problems.empty());
    book.rebuild(Judge({}, Notes::left_out));
    CHECK(book.findings("E5").empty());
    CHECK_FALSE(book.findings("E6").empty());
}

TEST_CASE("a removed name is in no byte of the book, and does not come back") {
    const ShopBook shop;
    auto book = shop.open();
    const std::string name = "Ottoline Brackwater";
    REQUIRE(book.set_typing({name, "desk"}));
    REQUIRE(record(book, {technician(2, "ob", name, "a")}, {}));
    const auto code = book.code_of_person(name).value();
    const auto remove = [&](const std::string& asked, const std::string& people) {
        return record(book, {draft(3, kinds::RemoveName{asked, people})}, {});
    };
    CHECK(problems(remove("by " + name, code)) == std::vector<std::string>{"0 person-named"});
    CHECK(problems(remove("by letter", "person:00000000000000000000000000000000")) ==
          std::vector<std::string>{"0 person-unknown"});
    CHECK(problems(remove("  ", code)) == std::vector<std::string>{"0 reason-empty"});
    const auto done = remove("by the person, in a letter", code);
    REQUIRE(done);
    CHECK(name_of(book, "ob") == "(name removed)");
    CHECK_FALSE(book.code_of_person(name));
    CHECK(book.person_names().empty());
    CHECK(book.people()[0].removed_by == done.events[0].name);
    CHECK(book.lay_out_anew());
    for (const auto& part : whole_book(shop.path())) {
        INFO(part.first);
        CHECK(part.second.find(name) == std::string::npos);
    }
    CHECK(book.check(Judge({}, Notes::left_out)).problems.empty());
    book.rebuild(Judge({}, Notes::left_out));
    CHECK(name_of(book, "ob") == "(name removed)");
    CHECK(problems(remove("again", code)) == std::vector<std::string>{"0 person-unknown"});
    CHECK(problems(record(book, {draft(4, kinds::Void{hex(done.events[0].digest), "by mistake"})}, {})) ==
          std::vector<std::string>{"0 void-target"});
}

}  // namespace people_test
