// Drafts made of what a program knows, the handle of an event, walks that end early, and two threads with one file.
#include "tarebook/record/drafting.hpp"

#include <thread>

#include "shop_book.hpp"
#include "units/hex.hpp"

using namespace tarebook;
using namespace tarebook::test;
namespace drafting_test {
namespace {

DraftFacts at(int hour) {
    return {.now = at_hour(hour).at};
}
Event must_have(const Result<Event>& draft) {
    REQUIRE(draft.has_value());
    return *draft;
}

}  // namespace

TEST_CASE("a draft has what is given, the rest stays off the record") {
    const ShopBook shop;
    auto book = shop.open();
    kinds::Weigh weigh;
    weigh.cylinder = "RC-1";
    weigh.gross = lb("19lb");
    const auto bare = must_have(make_event(book, weigh, at(2)));
    CHECK(bare.recorded == at_hour(2).at);
    CHECK(bare.when == at_hour(2));
    CHECK_FALSE(bare.by);
    CHECK_FALSE(bare.job);
    CHECK_FALSE(bare.own_id);
    auto facts = at(9);
    facts.when = at_hour(3), facts.by = "ana", facts.job = "2207", facts.scale = "S1", facts.note = "warm",
    facts.own_id = "one";
    const auto full = must_have(make_event(book, weigh, facts));
    CHECK(full.recorded == at_hour(9).at);
    CHECK(full.when == at_hour(3));
    CHECK(full.by == "ana");
    CHECK(full.job == "2207");
    CHECK(full.scale == "S1");
    CHECK(full.note == "warm");
    CHECK(full.own_id == "one");
    CHECK(record(book, {bare}, {}));
}

TEST_CASE("the clock is that of the site at which it happened, else the book's") {
    const ShopBook shop;
    auto book = shop.open();
    REQUIRE(record(book,
                   {must_have(make_entry(book, EntryKind::site, "OAK",
                                         {{"owner", "Quillpost"}, {"zone", "America/Chicago"}}, at(2))),
                    must_have(make_entry(book, EntryKind::site, "ELM", {{"owner", "Quillpost"}}, at(2)))},
                   {}));
    kinds::Recover recover;
    recover.into = "RC-1";
    recover.circuit = "OAK/RACK/1";
    CHECK(must_have(make_event(book, recover, at(5))).when.zone == "America/Chicago");
    CHECK(must_have(make_event(book, recover, at(5))).when.offset == std::chrono::hours(-6));
    recover.circuit = "ELM/RACK/1";
    CHECK(must_have(make_event(book, recover, at(5))).when.zone == "UTC");
    CHECK(must_have(make_event(book, kinds::Leak{"OAK/RACK", "valve"}, at(5))).when.zone == "America/Chicago");
    CHECK(must_have(make_entry(book, EntryKind::circuit, "OAK/RACK/1", {}, at(5))).when.zone == "America/Chicago");
    CHECK(must_have(make_entry(book, EntryKind::cylinder, "OAK", {}, at(5))).when.zone == "UTC");
}

TEST_CASE("an entry is checked field by field, and corrects the one that is there") {
    const ShopBook shop;
    auto book = shop.open();
    const auto added =
        must_have(make_entry(book, EntryKind::cylinder, "RC-2",
                             {{"use", "recovery"}, {"refrigerant", "r22"}, {"tare", "17 lb 8 oz"}}, at(2)));
    const auto& entry = std::get<kinds::Entry>(added.what);
    CHECK(entry.adds);
    CHECK(entry.values.at("refrigerant").text == "R-22");
    CHECK(entry.values.at("tare").mass == lb("17.5lb").mass);
    REQUIRE(record(book, {added}, {}));
    const auto corrected =
        must_have(make_entry(book, EntryKind::cylinder, "RC-2", {{"tare", "17.25"}}, at(3), ScaleReads::lb));
    CHECK_FALSE(std::get<kinds::Entry>(corrected.what).adds);
    REQUIRE(record(book, {corrected}, {}));
    CHECK(book.cylinder_now("RC-2")->facts.tare == lb("17.25lb").mass);

    const auto refused = [&](const std::string& code, const std::vector<TypedField>& fields) {
        const auto draft = make_entry(book, EntryKind::cylinder, code, fields, at(4));
        REQUIRE_FALSE(draft.has_value());
        return draft.error();
    };
    CHECK(refused("RC 3", {}).name == "code-format");
    const auto unknown = refused("RC-3", {{"tear", "17lb"}});
    CHECK(unknown.name == "field-unknown");
    CHECK(unknown.next == "did you mean tare?");
    CHECK(unknown.expected.find("stamped_limit") != std::string::npos);
    CHECK(refused("RC-3", {{"tare", "17"}}).name == "weight-no-unit");  // the unit of a bare number is not guessed
    CHECK(refused("RC-3", {{"use", "storage"}}).name == "word-unknown");
}

TEST_CASE("an event is the same by its id, its digest and what people type") {
    const ShopBook shop;
    auto book = shop.open();
    kinds::Weigh weigh;
    weigh.cylinder = "RC-1";
    weigh.gross = lb("20lb");  // three pounds more than the book has: an exception
    const auto done = record(book, {must_have(make_event(book, weigh, at(5)))}, {});
    REQUIRE(done);
    const auto& stored = done.first();
    const auto digits = hex(stored.digest);
    const EventHandle handles[] = {stored.id, stored.digest,        stored.name, stored.name.substr(1),
                                   digits,    digits.substr(0, 12), stored};
    for (const auto& handle : handles) {
        REQUIRE(book.event(handle));
        CHECK(book.event(handle)->digest == stored.digest);
        CHECK(book.id_of(handle) == stored.id);
        CHECK(book.findings(handle).size() == book.findings(stored.id).size());
        CHECK(book.postings(handle) == book.postings(stored.id));
    }
    CHECK_FALSE(book.findings(stored).empty());
    CHECK_FALSE(book.postings(stored).empty());
    auto other = stored.digest;
    other[0] ^= 1;
    for (const EventHandle& none : {EventHandle(stored.id + 100), EventHandle(other), EventHandle("E99"),
                                    EventHandle(digits.substr(0, 7)), EventHandle("")}) {
        CHECK_FALSE(book.event(none));
        CHECK_FALSE(book.id_of(none));
        CHECK(book.findings(none).empty());
        CHECK(book.postings(none).empty());
    }
}

TEST_CASE("a walk ends where its visitor says so, and may be asked for again at once") {
    const ShopBook shop;
    auto book = shop.open();
    REQUIRE(record(book, {cylinder("RC-2"), weighed(2, "RC-2", "22lb"), weighed(3, "RC-2", "27lb")}, {}));
    const auto seen = [](const auto& walk, int most) {
        int n = 0;
        walk([&](auto&&) { return ++n < most ? Walk::on : Walk::stop; });
        return n;
    };
    const auto all = [](const auto& walk) {
        int n = 0;
        walk([&](auto&&) { ++n; });
        return n;
    };
    const auto held = [&](const auto& walk) {
        const int whole = all(walk);
        REQUIRE(whole > 1);
        CHECK(seen(walk, 1) == 1);
        CHECK(seen(walk, whole) == whole);
        CHECK(seen(walk, whole + 1) == whole);
    };
    held([&](const ForEach<const StoredEvent&>& v) { book.each_event(v); });
    held([&](const ForEach<const StoredBody&>& v) { book.each_body(v); });
    held([&](const ForEach<const BookedEvent&>& v) { book.each_booked(v); });
    held([&](const ForEach<const Entry&>& v) { book.each_entry(EntryKind::cylinder, v); });
    held([&](const ForEach<CylinderNow&&>& v) { book.each_cylinder(v); });
    held([&](const ForEach<KnownException&&>& v) {
        book.each_exception(Date(std::chrono::days(0)), at_hour(0).date() + std::chrono::days(9), v);
    });
    held([&](const ForEach<const BookStep&>& v) { book.each_step(v); });
    held([&](const ForEach<const BookStep&>& v) { book.each_step_of("RC-2", {}, v); });
    const auto runs = book.chain_runs(true);
    REQUIRE_FALSE(runs.empty());
    held([&](const ForEach<std::string_view>& v) { book.each_of_run(runs.front(), v); });
    // What was left in the middle of a walk keeps nobody from recording.
    seen([&](const ForEach<const StoredEvent&>& v) { book.each_event(v); }, 1);
    CHECK(record(book, {weighed(4, "RC-1", "17lb")}, {}));
}

TEST_CASE("a cylinder is where its last move put it, else where its entry says") {
    const ShopBook shop;
    auto book = shop.open();
    CHECK(book.cylinder_now("RC-1")->place().empty());
    REQUIRE(record(book, {must_have(make_entry(book, EntryKind::cylinder, "RC-1", {{"place", "shop"}}, at(2)))}, {}));
    CHECK(book.cylinder_now("RC-1")->place() == "shop");
    REQUIRE(record(book, {draft(3, kinds::Move{"RC-1", "truck-2", {}})}, {}));
    CHECK(book.cylinder_now("RC-1")->place() == "truck-2");
}

TEST_CASE("two threads with a Book each are as two programs: one records, the other reads and misses nothing") {
    const ShopBook shop;
    constexpr int most = 20;
    std::string wrong;
    std::thread writer([&] {
        auto book = shop.open();
        for (int n = 0; n < most; ++n)
            if (!record(book, {weighed(2 + n, "RC-1", "17lb")}, {})) wrong = "a weight was refused";
    });
    std::int64_t last = 0;
    for (int looks = 0; looks < 2000 && last < 3 + most && wrong.empty(); ++looks) {
        const auto book = shop.open(Access::read);
        std::int64_t seq = 0;
        book.each_event([&](const StoredEvent& e) { seq = std::max(seq, e.event.seq); });
        if (seq < last) wrong = "an event that was read is gone";
        last = seq;
    }
    writer.join();
    CHECK(wrong.empty());
    CHECK(shop.open(Access::read).head().seq == 3 + most);
}

}  // namespace drafting_test
