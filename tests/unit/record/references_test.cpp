// What a draft refers to: on record, or in a draft before it; or what else it should be.
#include "record/references.hpp"

#include "record/sorted_drafts.hpp"
#include "shop_book.hpp"
#include "units/hex.hpp"

using namespace tarebook;
using namespace tarebook::test;
namespace references_test {

using Names = std::vector<std::string>;

namespace {

Event added(EntryKind kind, const std::string& code, FieldValues values = {}) {
    values.try_emplace("name", FieldValue{code, {}});
    return draft(0, kinds::Entry{kind, code, true, std::move(values)});
}
Event voids(const std::string& target, int hour = 50) {
    return draft(hour, kinds::Void{target, "typed twice"});
}
Event settles(const std::string& target, int hour = 60) {
    kinds::Settle k;
    k.target = target;
    k.refrigerant = lb("5lb");
    return draft(hour, k);
}

// A site with two appliances, a leak on each, and a return that no statement settles.
struct Shop {
    ShopBook files;
    Book book = files.open();
    std::string returned;
    Shop() {
        kinds::Return sent;
        sent.cylinder = "RC-2";
        sent.to = "Hollow Reclaim";
        REQUIRE(recorded({added(EntryKind::site, "OAK"), rack("OAK/A"), rack("OAK/B"), cylinder("RC-2"),
                          draft(1, kinds::Leak{"OAK/A", "valve"}), draft(2, kinds::Leak{"OAK/B", "flare nut"})}));
        sent.gross = lb("22lb");
        const auto done = recorded({weighed(3, "RC-2", "22lb"), draft(20, sent)});
        REQUIRE(done);
        returned = done.events.back().name;
    }
    static Event rack(const std::string& code) {
        return added(EntryKind::appliance, code, {{"refrigerant", {"R-22", {}}}});
    }
    Recorded recorded(std::vector<Event> drafts) {
        RecordOptions options;
        options.anyway = "as it was";  // the checks are not what is asked here
        return record(book, std::move(drafts), options);
    }
    /// What each of the drafts is told, one after the other; "" where nothing.
    Names told(const std::vector<Event>& drafts) {
        References references(book);
        Names out;
        for (auto one : drafts) {
            name_target_by_digest(book, one);
            const auto error = references.check(one);
            out.push_back(error ? error->name : "");
        }
        return out;
    }
    std::string told(const Event& one) { return told(std::vector{one}).front(); }
};

}  // namespace

TEST_CASE("a void is of an event that counts, and that is no void, start or word about books") {
    Shop shop;
    const auto weight = shop.recorded({weighed(30, "RC-1", "18lb")}).first();
    const kinds::Trust card{std::string(32, 'a'), std::string(64, 'b'), "truck", {}};
    const auto trust = shop.recorded({draft(31, card)}).first();
    CHECK(shop.told(voids(weight.name)) == "");
    CHECK(shop.told(voids(hex(weight.digest))) == "");
    CHECK(shop.told(voids("E99")) == "void-target");
    CHECK(shop.told(voids("E1")) == "void-target");
    CHECK(shop.told(voids(trust.name)) == "void-target");
    const auto done = shop.recorded({voids(weight.name)}).first();
    CHECK(shop.told(voids(weight.name)) == "already-voided");
    CHECK(shop.told(voids(done.name)) == "void-of-void");
}

TEST_CASE("a statement is about a return that counts, after it, and the first one") {
    Shop shop;
    CHECK(shop.told(settles(shop.returned)) == "");
    CHECK(shop.told(settles("E99")) == "settle-target");
    CHECK(shop.told(settles("E1")) == "settle-target");
    CHECK(shop.told(settles(shop.returned, 19)) == "settle-before-return");
    const auto statement = shop.recorded({settles(shop.returned)}).first();
    CHECK(shop.told(settles(shop.returned)) == "already-settled");
    // a void and the corrected statement in one
    CHECK(shop.told({voids(statement.name), settles(shop.returned)}) == Names{"", ""});
    CHECK(shop.told({settles(shop.returned), voids(statement.name)}) == Names{"already-settled", ""});
    REQUIRE(shop.recorded({voids(statement.name)}));
    CHECK(shop.told(settles(shop.returned)) == "");
    REQUIRE(shop.recorded({voids(shop.returned)}));
    CHECK(shop.told(settles(shop.returned)) == "settle-target");
}

TEST_CASE("an entry is new once, and stands on what is above it; drafts before it count") {
    Shop shop;
    CHECK(shop.told({added(EntryKind::site, "OAK"), added(EntryKind::site, "ELM"), added(EntryKind::site, "ELM")}) ==
          Names{"entry-exists", "", "entry-exists"});
    CHECK(shop.told({Shop::rack("ELM/A"), added(EntryKind::site, "ELM"), Shop::rack("ELM/A")}) ==
          Names{"unknown-site", "", ""});
    CHECK(shop.told({added(EntryKind::circuit, "OAK/C/1"), added(EntryKind::circuit, "OAK/A/1")}) ==
          Names{"unknown-appliance", ""});
    auto corrected = added(EntryKind::cylinder, "RC-9");
    std::get<kinds::Entry>(corrected.what).adds = false;
    CHECK(shop.told({corrected, cylinder("RC-9"), corrected}) == Names{"unknown-cylinder", "", ""});
}

TEST_CASE("a test of a cylinder is of a month that has begun somewhere on earth") {
    Shop shop;
    const auto tested = [](const std::string& month) { return draft(0, kinds::Requalify{"RC-1", month, {}}); };
    CHECK(shop.told(tested("2026-01")) == "");
    CHECK(shop.told(tested("2026-02")) == "test-to-come");
    CHECK(shop.told(added(EntryKind::cylinder, "RC-9", {{"tested", {"2036-01", {}}}})) == "test-to-come");
    auto last_evening = tested("2026-02");
    last_evening.recorded = at_hour(30 * 24 - 12).at;  // 31 January, noon: on the date line it is February
    CHECK(shop.told(last_evening) == "");
}

TEST_CASE("a scale, a machine, a circuit and an appliance are asked for by their kind") {
    Shop shop;
    auto scaled = weighed(30, "RC-1", "18lb");
    scaled.scale = "S1";
    CHECK(shop.told({scaled, added(EntryKind::scale, "S1"), scaled}) == Names{"unknown-scale", "", ""});
    kinds::Recover k;
    k.circuit = "OAK/A";
    k.into = "RC-1";
    k.machine = "M1";
    CHECK(shop.told({draft(30, k), added(EntryKind::machine, "M1"), draft(30, k)}) == Names{"unknown-machine", "", ""});
    k.circuit = "OAK/C";
    CHECK(shop.told(draft(30, k)) == "unknown-circuit");
    k.into = "RC-9";
    CHECK(shop.told(draft(30, k)) == "unknown-cylinder");
    CHECK(shop.told(draft(30, kinds::Leak{"OAK/C", "valve"})) == "unknown-appliance");
    kinds::Pumpdown down;
    down.circuit = "OAK/A/1";
    down.to = "OAK/A";
    CHECK(shop.told({added(EntryKind::circuit, "OAK/A/1"), draft(30, down)}) == Names{"", "pumpdown-same-appliance"});
    kinds::Transfer t;
    t.from = t.into = "RC-1";
    CHECK(shop.told(draft(30, t)) == "same-cylinder");
}

TEST_CASE("a leak is counted in the book, then in the drafts, and is of the appliance that takes gas for it") {
    Shop shop;
    const auto repaired = [](const std::string& leak) { return draft(40, kinds::Repair{leak, "brazed"}); };
    const auto charged = [](const std::string& circuit, const std::string& leak) {
        kinds::Charge k;
        k.circuit = circuit;
        k.from = "RC-1";
        k.leak = leak;
        return draft(40, k);
    };
    CHECK(shop.told({repaired("L-2"), repaired("L-3"), draft(39, kinds::Leak{"OAK/B", "coil"}), repaired("L-3")}) ==
          Names{"", "unknown-leak", "", ""});
    CHECK(shop.told(repaired("L-0")) == "unknown-leak");
    CHECK(shop.told(repaired("L-00ff00ff00ff")) == "unknown-leak");
    CHECK(shop.told({charged("OAK/A", "L-1"), charged("OAK/A", "L-2"), draft(39, kinds::Leak{"OAK/A", "coil"}),
                     charged("OAK/A", "L-3"), charged("OAK/B", "L-3")}) ==
          Names{"", "leak-elsewhere", "", "", "leak-elsewhere"});
}

TEST_CASE("a reading belongs to a count that is open, since it began") {
    Shop shop;
    kinds::StocktakeBegin begin;
    begin.place = "shop";
    const auto count = hex(shop.recorded({draft(40, begin)}).first().digest);
    const auto weighs = [&](int hour, const std::string& id) {
        kinds::StocktakeWeigh k;
        k.count = id;
        k.cylinder = "RC-1";
        k.gross = lb("17lb");
        return draft(hour, k);
    };
    const auto reason = [&](const std::string& code) {
        return draft(43, kinds::StocktakeReason{count, code, "stolen"});
    };
    const auto unknown = [&](const std::string& code) {
        kinds::StocktakeUnknown k;
        k.count = count;
        k.code = code;
        k.gross = lb("30lb");
        return draft(42, k);
    };
    auto close = draft(45, kinds::StocktakeClose{count, "ana"});
    close.by = "ana";
    CHECK(shop.told(draft(41, begin)) == "count-open");
    begin.place = "truck-1";
    CHECK(shop.told(draft(41, begin)) == "");
    CHECK(shop.told(weighs(41, count)) == "");
    CHECK(shop.told(weighs(39, count)) == "count-before-begin");
    CHECK(shop.told(weighs(41, std::string(64, 'a'))) == "unknown-count");
    CHECK(shop.told(unknown("RC-1")) == "cylinder-known");
    CHECK(shop.told({reason("RC-33"), unknown("RC-33"), reason("RC-33"), reason("RC-1")}) ==
          Names{"unknown-cylinder", "", "", ""});
    CHECK(shop.told(close) == "second-person");
    close.by = "tom";
    const auto weight = shop.recorded({weighs(41, count)}).first();
    REQUIRE(shop.recorded({unknown("RC-33")}));
    CHECK(shop.told(reason("RC-33")) == "");  // seen by the count, though the register lacks it
    REQUIRE(shop.recorded({close}));
    CHECK(shop.told(weighs(46, count)) == "count-closed");
    // what a person misread is put right after the count was closed, too
    CHECK(shop.told({voids(weight.name), weighs(46, count)}) == Names{"", ""});
    CHECK(shop.told({voids(weight.name), reason("RC-1")}) == Names{"", "count-closed"});
}

TEST_CASE("what is resolved is an open finding, a branch that there is, or a clock") {
    Shop shop;
    const auto done = record(shop.book, {weighed(70, "RC-1", "29lb")}, {});
    REQUIRE(done.exception_count == 1);
    const auto resolves = [](const std::string& finding) {
        return draft(80, kinds::Resolve{finding, "counted again"});
    };
    const auto id = "gap/RC-1/" + done.first().name;
    CHECK(shop.told(resolves(id)) == "");
    CHECK(shop.told(resolves("gap/RC-2/" + done.first().name)) == "finding-unknown");
    CHECK(shop.told(resolves("due/inspect/OAK/A")) == "");
    CHECK(shop.told(resolves("branch/" + hex(done.first().digest))) == "branch-unknown");
    References references(shop.book);
    const auto near = references.check(resolves(id + "0"));
    REQUIRE(near);
    CHECK(near->next == "did you mean " + id + "?");
    REQUIRE(shop.recorded({resolves(id)}));
    CHECK(shop.told(resolves(id)) == "finding-unknown");
}

TEST_CASE("a book is trusted under a name of its own, and is not this one; only such a book is withdrawn") {
    Shop shop;
    kinds::Trust card{std::string(32, 'a'), std::string(64, 'b'), "truck", {}};
    kinds::Withdraw gone;
    gone.book = card.book;
    gone.why = "sold";
    CHECK(shop.told({draft(30, card), draft(31, gone)}) == Names{"", "book-untrusted"});
    REQUIRE(shop.recorded({draft(30, card)}));
    CHECK(shop.told({draft(30, card), draft(31, gone)}) == Names{"", ""});  // the same book under its own name again
    card.book = std::string(32, 'c');
    CHECK(shop.told(draft(30, card)) == "name-taken");
    card.called = "van";
    CHECK(shop.told(draft(30, card)) == "");
    auto another = card;  // in one command with it
    another.book = std::string(32, 'd');
    CHECK(shop.told({draft(30, card), draft(30, another), draft(30, card)}) == Names{"", "name-taken", ""});
    card.book = hex(shop.book.info().id);
    CHECK(shop.told(draft(30, card)) == "trust-own");
    card.book = std::string(16, 'c') + hex_of_bytes(practice_mark);
    CHECK(shop.told(draft(30, card)) == "practice-apart");
}

TEST_CASE("the entry of a cylinder that holds gas is voided for a reason alone") {
    Shop shop;
    const auto entry = [&](const std::string& code) {
        for (std::int64_t id = 1; id <= shop.book.event_count(); ++id) {
            const auto stored = shop.book.event(id);
            const auto* k = std::get_if<kinds::Entry>(&stored->event.what);
            if (k && k->code == code) return stored->name;
        }
        return std::string();
    };
    auto draft_void = voids(entry("RC-1"));
    CHECK_FALSE(refuse_or_accept_void_of_entry(shop.book, draft_void));  // it weighs its tare
    REQUIRE(shop.recorded({weighed(30, "RC-1", "20lb")}));
    const auto held = refuse_or_accept_void_of_entry(shop.book, draft_void);
    REQUIRE(held);
    CHECK(held->name == "entry-holds-gas");
    CHECK(held->seen == "20.00 lb gross, tare 17.00 lb");
    CHECK(draft_void.accepted.empty());
    draft_void.anyway = "added twice";
    CHECK_FALSE(refuse_or_accept_void_of_entry(shop.book, draft_void));
    REQUIRE(draft_void.accepted.size() == 1);
    CHECK(draft_void.accepted[0].check == "entry-holds-gas");
    auto other = voids(entry("OAK"));
    CHECK_FALSE(refuse_or_accept_void_of_entry(shop.book, other));
}

}  // namespace references_test
