// What is said of drafts before they are judged: lines of a sheet, each for itself, and the drafts of one command.
#include "record/sorted_drafts.hpp"

#include "shop_book.hpp"

using namespace tarebook;
using namespace tarebook::test;
namespace sorted_drafts_test {

using Names = std::vector<std::string>;

namespace {

DraftLine line(Event event) {
    return {std::move(event), {}, false};
}
Event moved(int hour, const std::string& cylinder, std::optional<std::string> own_id = {}) {
    return draft(hour, kinds::Move{cylinder, "shop", {}}, std::move(own_id));
}
Event poured(const std::string& from, const std::string& into) {
    kinds::Transfer k;
    k.from = from;
    k.into = into;
    k.from_weighing.net = lb("1lb");
    return draft(5, k);
}
Event malformed(int hour, const std::string& cylinder) {
    return draft(hour, kinds::Condemn{cylinder, "  "});  // no reason is given
}
Names names(const SortedDrafts& sorted) {
    Names out;
    for (const auto& p : sorted.problems) out.push_back(std::to_string(p.draft) + " " + p.error.name);
    return out;
}
using Which = std::vector<std::size_t>;
using Flags = std::vector<bool>;

// A shop with three cylinders, RC-1 moved under the own id "line-1".
struct Shop {
    ShopBook files;
    Book book = files.open();
    Shop() {
        REQUIRE(record(book, {cylinder("RC-2"), cylinder("RC-3")}, {}));
        REQUIRE(record(book, {moved(2, "RC-1", "line-1")}, {}));
    }
};

}  // namespace

TEST_CASE("a line that is in the book already is passed by, one with its own id and other words is a problem") {
    Shop shop;
    auto other = moved(2, "RC-1", "line-1");
    std::get<kinds::Move>(other.what).place = "truck-1";
    const auto sorted = sorted_lines(shop.book, {line(moved(2, "RC-1", "line-1")), line(moved(3, "RC-2", "line-2")),
                                                 line(other), line(moved(4, "RC-1", "line-3"))});
    CHECK(sorted.already.size() == 1);
    CHECK(sorted.already[0].event.own_id == "line-1");
    CHECK(names(sorted) == Names{"2 own-id-other-content"});
    CHECK(sorted.line_of == Which{1, 3});
    CHECK(sorted.judgeable == Flags{true, false});  // what the third line did to RC-1 is not known
    CHECK(sorted.all_read);
}

TEST_CASE("where no time was given, the time is no content; nor is a reason that was given once") {
    Shop shop;
    auto again = moved(9, "RC-1", "line-1");
    again.recorded = again.when.at;  // now
    CHECK(sorted_lines(shop.book, {line(again)}).already.size() == 1);
    again.anyway = "typed again";
    CHECK(names(sorted_lines(shop.book, {line(again)})) == Names{"0 own-id-other-content"});
    auto said = moved(9, "RC-1", "line-1");
    said.recorded = at_hour(10).at;  // an hour that somebody gave
    CHECK(names(sorted_lines(shop.book, {line(said)})) == Names{"0 own-id-other-content"});
}

TEST_CASE("a malformed line is told and leaves open what its cylinders hold, for the lines behind it alone") {
    Shop shop;
    const auto sorted = sorted_lines(shop.book, {line(moved(2, "RC-2")), line(malformed(3, "RC-2")),
                                                 line(moved(4, "RC-2")), line(moved(4, "RC-3"))});
    CHECK(names(sorted) == Names{"1 reason-empty"});
    CHECK(sorted.line_of == Which{0, 2, 3});
    CHECK(sorted.judgeable == Flags{true, false, true});
}

TEST_CASE("a line that cannot be read leaves its cylinders open, and what is poured on from them") {
    Shop shop;
    std::vector<DraftLine> lines{line(poured("RC-1", "RC-2")), line(poured("RC-2", "RC-3")), line(moved(6, "RC-3")),
                                 line(moved(6, "RC-1"))};
    SUBCASE("where it names one") {
        lines.insert(lines.begin() + 1, DraftLine{{}, {"RC-2"}, false});
        const auto sorted = sorted_lines(shop.book, lines);
        CHECK_FALSE(sorted.all_read);
        CHECK(sorted.line_of == Which{0, 2, 3, 4});
        CHECK(sorted.judgeable == Flags{true, false, false, true});
    }
    SUBCASE("where it may have been about any") {
        lines.insert(lines.begin() + 1, DraftLine{{}, {}, true});
        CHECK(sorted_lines(shop.book, lines).judgeable == Flags{true, false, false, false});
    }
}

TEST_CASE("each unknown reference of a sheet is told at its line") {
    Shop shop;
    const auto sorted = sorted_lines(
        shop.book, {line(moved(2, "RC-8")), line(moved(3, "RC-9")), line(cylinder("RC-9")), line(moved(4, "RC-9"))});
    CHECK(names(sorted) == Names{"0 unknown-cylinder", "1 unknown-cylinder"});
    CHECK(sorted.line_of == Which{2, 3});
    CHECK(sorted.judgeable == Flags{false, false});
}

TEST_CASE("of an entry that is refused the lines behind it are not told that it is unknown") {
    Shop shop;
    auto wrong = cylinder("RC-9");
    std::get<kinds::Entry>(wrong.what).values["tested"] = {"2024-13", {}};
    CHECK(names(sorted_lines(shop.book, {line(wrong), line(moved(4, "RC-9"))})) == Names{"0 field-form"});
}

TEST_CASE("what is recorded now has money as an amount of zero or more, in a currency that is known") {
    Shop shop;
    const auto told = [&](What what) { return names(sorted_lines(shop.book, {line(draft(4, std::move(what)))})); };
    kinds::Exchange swapped{"RC-1", "RC-9", "Gable Supply", {}, {}};
    swapped.deposit_amount = Money{4000, *Currency::from_code("USD")};
    CHECK(told(swapped) == Names{});
    swapped.deposit_amount = Money{-1, *Currency::from_code("USD")};
    CHECK(told(swapped) == Names{"0 field-form"});
    swapped.deposit_amount = Money{4000, *Currency::from_code("QQQ")};
    CHECK(told(swapped) == Names{"0 field-form"});
    swapped.deposit_amount.reset();
    swapped.deposit = "40 USD";
    CHECK(told(swapped) == Names{"0 money-in-words"});
    CHECK(told(kinds::Entry{EntryKind::stock, "R-448A", true, {{"price", {"32.00 USD/lb", {}}}}}) == Names{});
    CHECK(told(kinds::Entry{EntryKind::stock, "R-448A", true, {{"price", {"32 usd/lb", {}}}}}) ==
          Names{"0 field-form"});
    CHECK(told(kinds::Entry{EntryKind::stock, "a/b/R-448A", true, {{"price", {"32.00 USD/lb", {}}}}}) ==
          Names{"0 code-format"});
}

TEST_CASE("one command: where a draft is in the book, the command is; its parts have own ids of their own") {
    Shop shop;
    const std::vector<Event> drafts{moved(4, "RC-2", "job-1"), moved(4, "RC-3", "job-1"), moved(4, "RC-1", "other")};
    const auto first = sorted_command(shop.book, drafts);
    REQUIRE(first.fresh.size() == 3);
    CHECK(first.fresh[0].own_id == "job-1");
    CHECK(first.fresh[1].own_id == "job-1#2");
    CHECK(first.fresh[2].own_id == "other");
    CHECK(first.line_of == Which{0, 1, 2});
    CHECK(first.judgeable == Flags{true, true, true});
    REQUIRE(record(shop.book, drafts, {}));
    const auto again = sorted_command(shop.book, drafts);
    CHECK(again.already.size() == 3);
    CHECK(again.fresh.empty());
    CHECK(sorted_command(shop.book, {moved(5, "RC-2"), moved(4, "RC-1", "other")}).fresh.empty());
}

TEST_CASE("one command: its form is told first, then own ids, then what is not on record") {
    Shop shop;
    auto other = moved(2, "RC-2", "line-1");
    const auto form = sorted_command(shop.book, {malformed(3, "RC-9"), other, malformed(4, "RC-1")});
    CHECK(names(form) == Names{"0 reason-empty", "2 reason-empty"});
    const auto ids = sorted_command(shop.book, {moved(2, "RC-9"), other});
    CHECK(names(ids) == Names{"1 own-id-other-content"});
    REQUIRE(record(shop.book, {moved(2, "RC-3", "line-2")}, {}));
    const auto both = sorted_command(shop.book, {moved(2, "RC-3", "line-2"), other});
    CHECK(names(both) == Names{"1 own-id-other-content"});
    CHECK(both.already.empty());  // what is refused is not "already recorded", too
    CHECK(names(sorted_command(shop.book, {moved(2, "RC-9"), cylinder("RC-1")})) ==
          Names{"0 unknown-cylinder", "1 entry-exists"});
}

TEST_CASE("a void names its target by digest once it is sorted: typed as E12, 12 or digits") {
    Shop shop;
    const auto target = shop.book.event_with_own_id("line-1");
    REQUIRE(target);
    for (const auto& typed : {target->name, target->name.substr(1), hex(target->digest).substr(0, 8)}) {
        auto event = draft(9, kinds::Void{typed, "typed twice"});
        name_target_by_digest(shop.book, event);
        CHECK(std::get<kinds::Void>(event.what).target == hex(target->digest));
    }
    auto unknown = draft(9, kinds::Void{"E99", "typed twice"});
    name_target_by_digest(shop.book, unknown);
    CHECK(std::get<kinds::Void>(unknown.what).target == "E99");
}

TEST_CASE("a new site and cylinder take the country of the book where its law is not the default") {
    const ShopBook files;
    const auto file = files.room.book("DE");
    const auto book =
        Book::create(file, "Pelican Refrigeration", DisplayUnits::kg, "UTC", at_hour(0), {}, Purpose::real, "DE");
    const auto country = [&](const Book& of, EntryKind kind, FieldValues values, bool adds = true) {
        auto event = draft(0, kinds::Entry{kind, "X-1", adds, std::move(values)});
        take_country_of_book(of, event);
        const auto& said = std::get<kinds::Entry>(event.what).values;
        const auto it = said.find("country");
        return it == said.end() ? std::string("none") : it->second.text;
    };
    CHECK(country(book, EntryKind::site, {}) == "DE");
    CHECK(country(book, EntryKind::cylinder, {}) == "DE");
    CHECK(country(book, EntryKind::cylinder, {{"country", {"FR", {}}}}) == "FR");
    CHECK(country(book, EntryKind::site, {}, false) == "none");  // a correction says what it says
    CHECK(country(book, EntryKind::appliance, {}) == "none");
    CHECK(country(files.open(), EntryKind::site, {}) == "none");
}

}  // namespace sorted_drafts_test
