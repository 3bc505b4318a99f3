// Canonical bytes (RFC 8785, JSON Canonicalization Scheme), held against a body written out by hand, and what is
// refused when bytes come from outside.
#include <doctest/doctest.h>

#include "tarebook/event/event.hpp"

using namespace tarebook;

namespace body_test {

namespace {

// Written by hand after RFC 8785: keys in order, no white space, shortest escapes (section 3.2.2.2), UTF-8 as it is.
constexpr std::string_view by_hand =
    R"({"accepted":[{"check":"over-limit","subject":"RC-031","text":"27.85 lb, limit 26.20 lb"}],)"
    R"("anyway":"it was \"urgent\"","at":"2026-11-25T20:30:00Z","book":"000102030405060708090a0b0c0d0e0f",)"
    R"("by":"J. Ferrow","date":"2026-11-25","job":"2207","kind":"recover","note":"50 °F, a\\b/c\n\u0001",)"
    R"("offset_min":-360,"own_id":"sheet 3/1",)"
    R"("prev":"abababababababababababababababababababababababababababababababab",)"
    R"("recorded":"2026-11-25T20:31:07Z","scale":"S-2","seq":12,"v":1,"what":{"circuit":"OAK/RACK-B/4","drier":"yes",)"
    R"("held_min":15,"into":"RC-031","reason":"open","vacuum":"500 micron","weighing":{"after":)"
    R"({"count":"16274894235600","typed":"44.85lb"},"before":{"count":"11321665555200","typed":"31.20 lb"}}},)"
    R"("zone":"America/Chicago"})";
// `sha256sum` (GNU coreutils) over the bytes above.
constexpr const char* by_sha256sum = "c27d2f36d2edb02b3eb9eb5d9127136e37bd4d756c1e57928fa107e160e7f70e";

Event the_event() {
    Event e;
    for (std::size_t i = 0; i < e.book.size(); ++i) e.book[i] = static_cast<std::uint8_t>(i);
    e.previous.fill(0xab);
    e.seq = 12;
    e.when = moment_in_zone(instant_from_text("2026-11-25T20:30:00Z").value(), "America/Chicago").value();
    e.recorded = instant_from_text("2026-11-25T20:31:07Z").value();
    e.by = "J. Ferrow";
    e.job = "2207";
    e.scale = "S-2";
    e.note = "50 °F, a\\b/c\n\x01";
    e.own_id = "sheet 3/1";
    e.anyway = "it was \"urgent\"";
    e.accepted = {{"over-limit", "RC-031", "27.85 lb, limit 26.20 lb"}};
    kinds::Recover k;
    k.circuit = "OAK/RACK-B/4";
    k.into = "RC-031";
    k.weighing.before = parse_weight("31.20 lb", ScaleReads::unknown).value();
    k.weighing.after = parse_weight("44.85lb", ScaleReads::unknown).value();
    k.vacuum = "500 micron";
    k.held_min = 15;
    k.drier = "yes";
    e.what = k;
    return e;
}

std::string with(std::string_view was, std::string_view is) {
    std::string body(by_hand);
    const auto at = body.find(was);
    REQUIRE_MESSAGE(at != std::string::npos, was);
    return body.replace(at, was.size(), is);
}

void refused(const std::string& body) {
    CAPTURE(body);
    const auto e = event_from_body(body);
    REQUIRE_FALSE(e);
    CHECK(e.error().name == "body-unreadable");
    CHECK(e.error().kind == ErrorKind::storage);
    CHECK_FALSE(e.error().seen.empty());
}

}  // namespace

TEST_CASE("the canonical bytes of an event are those written by hand, and so is their digest (I4)") {
    CHECK(canonical_body(the_event()) == by_hand);
    CHECK(hex(digest_of(by_hand)) == by_sha256sum);
    // FIPS 180-2, appendix B.1: the digest of "abc".
    CHECK(hex(digest_of("abc")) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

TEST_CASE("the bytes written by hand are read back as the event, part by part") {
    const auto e = event_from_body(by_hand);
    REQUIRE(e);
    const auto want = the_event();
    CHECK(e->order() == want.order());
    CHECK(e->previous == want.previous);
    CHECK(e->when == want.when);
    CHECK(e->recorded == want.recorded);
    CHECK(e->note == want.note);
    CHECK(e->anyway == want.anyway);
    REQUIRE(e->accepted.size() == 1);
    CHECK(e->accepted[0].check == "over-limit");
    const auto* k = std::get_if<kinds::Recover>(&e->what);
    REQUIRE(k);
    CHECK(k->weighing == std::get<kinds::Recover>(want.what).weighing);
    CHECK(k->held_min == 15);
    CHECK_FALSE(k->machine);
    CHECK(canonical_body(*e) == by_hand);
}

TEST_CASE("a statement and a cleaning are read back part by part, whole and nearly empty") {
    const auto lb = [](const char* typed) { return parse_weight(typed, ScaleReads::lb).value(); };
    Event e = the_event();
    kinds::Settle whole{std::string(64, 'a'), "RC-031",    lb("33.7lb"), lb("27.8lb"), lb("5.2lb"), lb("0.45lb"),
                        lb("0.05lb"),         lb("0.1lb"), "R-404A",     "99.6",       "LR-1",      "14.30 USD",
                        "reclaimed",          "2026-07-10"};
    e.what = whole;
    const auto body = canonical_body(e);
    auto back = event_from_body(body);
    REQUIRE(back);
    CHECK(canonical_body(*back) == body);
    const auto& k = std::get<kinds::Settle>(back->what);
    CHECK(k.target == whole.target);
    CHECK(k.contaminants() == lb("0.6lb").mass);
    CHECK(k.received() == lb("5.9lb").mass);
    CHECK(k.stated() == lb("5.2lb").mass);
    CHECK(k.outcome == "reclaimed");
    CHECK(k.dated == "2026-07-10");
    CHECK(cylinders_of(*back) == std::vector<std::string>{"RC-031"});
    kinds::Settle little;
    little.target = whole.target;
    little.cylinder = "RC-031";
    e.what = little;
    back = event_from_body(canonical_body(e));
    REQUIRE(back);
    CHECK_FALSE(std::get<kinds::Settle>(back->what).stated());
    CHECK(canonical_body(e).find("\"what\":{\"cylinder\":\"RC-031\",\"target\":") != std::string::npos);
    kinds::Recycle cleaned;
    cleaned.cylinder = "RC-031";
    cleaned.machine = "M1";
    cleaned.oil_separated = true;
    cleaned.drier_passes = 2;
    cleaned.moisture_test = "pass";
    e.what = cleaned;
    back = event_from_body(canonical_body(e));
    REQUIRE(back);
    CHECK(canonical_body(*back) == canonical_body(e));
    CHECK(std::get<kinds::Recycle>(back->what).drier_passes == 2);
    CHECK(std::get<kinds::Recycle>(back->what).oil_separated);
    kinds::Reuse put;
    put.circuit = "OAK/RACK-B/4";
    put.from = "RC-031";
    put.ownership_exception = "sister-company: one holding";
    e.what = put;
    back = event_from_body(canonical_body(e));
    REQUIRE(back);
    CHECK(std::get<kinds::Reuse>(back->what).ownership_exception == put.ownership_exception);
}

TEST_CASE("money is written in the smallest unit with its currency; words of before stay words") {
    Event e = the_event();
    kinds::Receive came;
    came.cylinder = "J-1", came.from = "Harlan Supply";
    came.price = Price{{820, *Currency::from_code("USD")}, PricePer::lb};
    e.what = came;
    CHECK(canonical_body(e).find(R"("price":{"currency":"USD","minor":820,"per":"lb"})") != std::string::npos);
    CHECK(std::get<kinds::Receive>(event_from_line(canonical_body(e))->what).price == came.price);
    kinds::Exchange swapped{"RC-1", "RC-2", "Harlan Supply", {}, "40"};  // as a book of before has it
    e.what = swapped;
    auto body = canonical_body(e);
    CHECK(body.find(R"("cylinder":"RC-1","deposit":"40","for_cylinder")") != std::string::npos);
    swapped.deposit.reset();
    swapped.deposit_amount = Money{4000, *Currency::from_code("USD")};
    e.what = swapped;
    body = canonical_body(e);
    CHECK(body.find(R"("deposit_amount":{"currency":"USD","minor":4000},"for_cylinder")") != std::string::npos);
    CHECK(std::get<kinds::Exchange>(event_from_line(body)->what).deposit_amount == swapped.deposit_amount);
    // a currency that this program does not know is kept, and what is no code is refused
    const auto at = body.find("USD");
    CHECK(event_from_line(body.replace(at, 3, "QQQ")));
    refused(body.replace(at, 3, "qqq"));
    refused(body.replace(at, 3, "QQQQ"));
}

TEST_CASE("what a count finds is read back part by part, and names its count") {
    const auto lb = [](const char* typed) { return parse_weight(typed, ScaleReads::lb).value(); };
    const std::string count(64, 'b');
    Event e = the_event();
    const auto round = [&](What what) {
        e.what = std::move(what);
        const auto body = canonical_body(e);
        auto back = event_from_body(body);
        REQUIRE(back);
        CHECK(canonical_body(*back) == body);
        CHECK(back->what.index() == e.what.index());
        return *back;
    };
    const auto begun = round(kinds::StocktakeBegin{"shop", true});
    CHECK(std::get<kinds::StocktakeBegin>(begun.what).blind);
    CHECK(stocktake_named_by(begun).empty());
    const auto weighed = round(kinds::StocktakeWeigh{count, "RC-031", lb("31.2lb"), "off", "R-404A"});
    CHECK(canonical_body(weighed).find(R"("what":{"cap":"off","count":")" + count +
                                       R"(","cylinder":"RC-031","gross":{)") != std::string::npos);
    CHECK(std::get<kinds::StocktakeWeigh>(weighed.what).label == "R-404A");
    CHECK(stocktake_named_by(weighed) == count);
    CHECK(cylinders_of(weighed) == std::vector<std::string>{"RC-031"});
    CHECK(cylinders_of(round(kinds::StocktakeMissing{count, "RC-032"})) == std::vector<std::string>{"RC-032"});
    const auto odd = round(kinds::StocktakeUnknown{count, "ODD-1", lb("44lb"), {}, "R-22"});
    CHECK(cylinders_of(odd).empty());  // the register has no such cylinder
    CHECK(std::get<kinds::StocktakeUnknown>(odd.what).gross->typed == "44lb");
    CHECK(std::get<kinds::StocktakeReason>(round(kinds::StocktakeReason{count, "RC-031", "hose left open"}).what).why ==
          "hose left open");
    CHECK(std::get<kinds::StocktakeClose>(round(kinds::StocktakeClose{count, "tom"}).what).second_person == "tom");
    CHECK_FALSE(std::get<kinds::StocktakeClose>(round(kinds::StocktakeClose{count, {}}).what).second_person);
}

TEST_CASE("one changed letter is another digest") {
    CHECK(hex(digest_of(with("31.20 lb", "31.20lb"))) != by_sha256sum);
    CHECK(hex(digest_of(with("\"seq\":12", "\"seq\":13"))) != by_sha256sum);
}

TEST_CASE("absent parts are left out of the bytes, and come back absent") {
    Event e = the_event();
    e.by = e.job = e.scale = e.note = e.own_id = e.anyway = std::nullopt;
    e.accepted.clear();
    const auto body = canonical_body(e);
    for (const auto* key :
         {"\"by\"", "\"job\"", "\"scale\"", "\"note\"", "\"own_id\"", "\"anyway\"", "\"accepted\"", "null"})
        CHECK(body.find(key) == std::string::npos);
    const auto back = event_from_body(body);
    REQUIRE(back);
    CHECK_FALSE(back->by);
    CHECK(back->accepted.empty());
}

TEST_CASE("bytes that are no event are refused with what is wrong") {
    refused("");
    refused("[]");
    refused("{}");
    refused("not json");
    refused(std::string(by_hand.substr(0, by_hand.size() - 1)));
    refused(std::string(by_hand) + "x");
    refused(with("\"seq\":12,", ""));
    refused(with("\"prev\":\"ab", "\"prev\":\"Ab"));
    refused(with("\"prev\":\"abab", "\"prev\":\"ab"));
    refused(with("0e0f\"", "0e\""));
    refused(with("20:30:00Z", "20:30Z"));
    refused(with("2026-11-25T20:31:07Z", "2026-02-30T20:31:07Z"));
    refused(with("J. Ferrow", "J. \xff"));                          // no UTF-8
    refused(with("\"reason\":\"open\"", "\"reason\":\"opened\""));  // no word of ours
    refused(with("\"into\":\"RC-031\"", "\"into\":31"));
    refused(with("\"into\":\"RC-031\",", ""));
    refused(with("\"held_min\":15", "\"held_min\":15,\"hose\":\"1\""));  // a key that this version does not have
    refused(with("\"seq\":12", "\"seq\":12,\"sign\":\"x\""));
    refused(with("\"before\":{", "\"between\":{"));
}

TEST_CASE("bytes that say the same in another form are refused: one event has one form") {
    for (const auto& [from, to] : std::vector<std::pair<std::string, std::string>>{
             {"\"seq\":12", "\"seq\": 12"},           // white space
             {"\"seq\":12", "\"seq\":12.0"},          // a fraction
             {"\\u0001", "\\u0001\\u0041"},           // an escape that need not be
             {"a\\\\b/c", "a\\\\b\\/c"},              // an escape that is optional in JSON
             {"\\n", "\\u000a"},                      // the long form of a short escape
             {"\"held_min\":15", "\"held_min\":-0"},  // no such number
             {"\"drier\":\"yes\",\"held_min\":15", "\"held_min\":15,\"drier\":\"yes\""},  // order
         }) {
        refused(with(from, to));
    }
}

TEST_CASE("the local date of a body must be what its instant and offset say") {
    refused(with("\"date\":\"2026-11-25\"", "\"date\":\"2026-11-24\""));
    refused(with("\"offset_min\":-360", "\"offset_min\":600"));  // then it would be the 26th
}

TEST_CASE("a count is written plainly, in a string, within 64 bits") {
    for (const std::string bad : {"011321665555200", "+11321665555200", "11321665555200.0", "1e13", " 11321665555200",
                                  "", "11321665555200x", "-0", "9223372036854775808"}) {
        CAPTURE(bad);
        refused(with("\"11321665555200\"", std::string("\"") + bad + "\""));
    }
    refused(with("\"11321665555200\"", "11321665555200"));
    refused(with("\"11321665555200\",\"typed\"", "\"11321665555200\",\"unit\":\"lb\",\"typed\""));
    CHECK(event_from_body(with("\"11321665555200\"", "\"9223372036854775807\"")));
    CHECK(event_from_body(with("\"11321665555200\"", "\"-9223372036854775808\"")));
}

TEST_CASE("numbers in a body are whole and below 2^53, and an offset is less than a day") {
    refused(with("\"seq\":12", "\"seq\":12.5"));
    refused(with("\"seq\":12", "\"seq\":12.0"));
    refused(with("\"seq\":12", "\"seq\":true"));
    refused(with("\"seq\":12", "\"seq\":\"12\""));
    refused(with("\"seq\":12", "\"seq\":9007199254740993"));
    refused(with("\"seq\":12", "\"seq\":18446744073709551615"));
    refused(with("\"held_min\":15", "\"held_min\":15.5"));
    refused(with("\"offset_min\":-360", "\"offset_min\":9007199254740991"));
    refused(with("\"offset_min\":-360", "\"offset_min\":-1440"));
    CHECK(event_from_body(with("\"seq\":12", "\"seq\":9007199254740991")));
}

TEST_CASE("a kind or version that this program does not know is kept, byte for byte") {
    const std::string newer = with("\"seq\":12,\"v\":1", "\"seq\":12,\"sign\":\"x\",\"v\":2");  // with a key of its own
    for (const auto& body : {with("\"kind\":\"recover\"", "\"kind\":\"levitate\""), with("\"v\":1", "\"v\":2"),
                             with("\"kind\":\"recover\"", "\"kind\":\"unknown\""), newer}) {
        CAPTURE(body);
        const auto e = event_from_body(body);
        REQUIRE(e);
        CHECK(std::holds_alternative<kinds::Unknown>(e->what));
        CHECK(e->seq == 12);
        CHECK(e->order() == the_event().order());
        CHECK(canonical_body(*e) == body);
        CHECK(cylinders_of(*e).empty());
        CHECK_FALSE(register_change(*e));
    }
    CHECK(event_from_body(with("\"kind\":\"recover\"", "\"kind\":\"levitate\""))->kind() == "levitate");
}

TEST_CASE("hex takes exactly what it gives") {
    BookId id{};
    id[0] = 0x0f;
    id[15] = 0xf0;
    CHECK(hex(id) == "0f0000000000000000000000000000f0");
    CHECK(book_id_from_hex(hex(id)) == id);
    CHECK_FALSE(book_id_from_hex("0F0000000000000000000000000000f0"));
    CHECK_FALSE(book_id_from_hex("0f0000000000000000000000000000f"));
    CHECK_FALSE(book_id_from_hex("0f0000000000000000000000000000f00"));
    CHECK_FALSE(digest_from_hex(hex(id)));
}

TEST_CASE("the words of an event say what was said, not when it was said again (I7)") {
    const auto one = the_event();
    auto again = one;
    again.seq = 99;
    again.previous.fill(1);
    again.recorded += std::chrono::hours(5);
    CHECK(words_of(again) == words_of(one));
    auto other = one;
    std::get<kinds::Recover>(other.what).drier = "no";
    CHECK(words_of(other) != words_of(one));
    other = one;
    other.when.at += std::chrono::minutes(1);
    CHECK(words_of(other) != words_of(one));
}

TEST_CASE("a weighing gains what its pair says; a net counts where there is no pair") {
    const auto w = [](const char* text) { return parse_weight(text, ScaleReads::unknown).value(); };
    Weighing pair{w("31.2lb"), w("30lb"), {}};
    CHECK(pair.gained() == Mass::thousandths_of_a_pound(-1200));
    pair.net = w("5lb");
    CHECK(pair.gained() == Mass::thousandths_of_a_pound(-1200));
    const Weighing net{{}, w("30lb"), w("5lb")};
    CHECK(net.gained() == Mass::pounds(5));
    CHECK(Weighing{w("31.2lb"), {}, {}}.gained().is_zero());
}

TEST_CASE("a field whose name needs an escape, or is empty, is written so that it is read back (I3)") {
    auto e = the_event();
    kinds::Entry entry{EntryKind::machine, "M1", true, {}};
    entry.values = {{"", {"nothing", {}}}, {"flamm\ble", {"no", {}}}, {"say \"so\"", {"yes", {}}}};
    e.what = entry;
    const auto body = canonical_body(e);
    const auto again = event_from_body(body);
    REQUIRE(again.has_value());
    CHECK(canonical_body(*again) == body);
    CHECK(std::get<kinds::Entry>(again->what).values == entry.values);
}

TEST_CASE("a weight that a scale sent says so in its bytes, and a typed one does not") {
    const auto body = with("\"11321665555200\",\"typed\"", "\"11321665555200\",\"read\":true,\"typed\"");
    const auto e = event_from_line(body);
    REQUIRE(e);
    const auto& weighing = std::get<kinds::Recover>(e->what).weighing;
    CHECK(weighing.before->from_scale);
    CHECK_FALSE(weighing.after->from_scale);
    CHECK(weights_from_scale(*e) == std::vector<std::string>{"before"});
    CHECK(weights_from_scale(the_event()).empty());
    CHECK(words_of(*e) != words_of(the_event()));
    for (const char* other : {"false", "1", "\"yes\"", "null"})
        refused(with("\"11321665555200\",", std::string("\"11321665555200\",\"read\":") + other + ","));
    refused(with("\"typed\":\"31.20 lb\"", "\"typed\":\"31.20 lb\",\"read\":true"));

    auto sent = [](const char* text) {
        auto weight = parse_weight(text, ScaleReads::unknown).value();
        weight.from_scale = true;
        return weight;
    };
    Event other = the_event();
    kinds::Transfer transfer;
    transfer.from_weighing = {sent("31.20lb"), sent("30lb"), {}};
    transfer.into_weighing.net = sent("1.20lb");
    other.what = transfer;
    CHECK(weights_from_scale(other) == std::vector<std::string>{"from before", "from after", "into net"});
    other.what = kinds::Weigh{"RC-031", sent("31.20lb")};
    CHECK(weights_from_scale(other) == std::vector<std::string>{"gross"});

    // what stands in the register is typed
    kinds::Entry entry{EntryKind::scale, "S1", true, {}};
    entry.values = {{"division", {"0.05lb", Mass::thousandths_of_a_pound(50)}}};
    other.what = entry;
    auto bytes = canonical_body(other);
    CHECK(event_from_body(bytes));
    bytes.insert(bytes.find(",\"typed\""), ",\"read\":true");
    refused(bytes);
}

}  // namespace body_test
