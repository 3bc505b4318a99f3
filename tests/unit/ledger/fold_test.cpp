#include <doctest/doctest.h>

#include <map>

#include "ledger/lots.hpp"
#include "tarebook/ledger/ledger.hpp"

using namespace tarebook;

namespace fold_test {

namespace {

Weight lb(const std::string& typed) {
    return parse_weight(typed, ScaleReads::lb).value();
}
Mass mass(const std::string& typed) {
    return lb(typed).mass;
}

// A book in memory that keeps both sides: the states that the fold hands on, and all its postings.
struct Bookkeeper {
    RegisterInMemory reg;
    States states;
    std::map<Account, Lots> accounts;
    std::int64_t seq = 0;

    Bookkeeper() {
        entry(EntryKind::site, "OAK", {{"owner", {"Oak Foods", {}}}});
        entry(EntryKind::site, "ELM", {{"owner", {"Elm Market", {}}}});
        entry(EntryKind::appliance, "OAK/RACK", {{"refrigerant", {"R-404A", {}}}});
        entry(EntryKind::appliance, "ELM/RACK", {{"refrigerant", {"R-404A", {}}}});
        entry(EntryKind::appliance, "OAK/OLD", {{"refrigerant", {"R-22", {}}}});
        entry(EntryKind::cylinder, "RC-1", {{"tare", {"17lb", mass("17lb")}}});
        entry(EntryKind::cylinder, "RC-2", {{"tare", {"17lb", mass("17lb")}}});
        entry(EntryKind::cylinder, "J-1", {{"use", {"supply", {}}}, {"refrigerant", {"R-404A", {}}}});
    }
    void entry(EntryKind kind, const std::string& code, FieldValues values) {
        take(kinds::Entry{kind, code, true, std::move(values)});
    }
    Outcome take(What what) {
        Event e;
        e.seq = ++seq;
        e.when.at = Instant(std::chrono::minutes(seq));
        e.what = std::move(what);
        reg.apply(e);
        States before;
        for (const auto& code : cylinders_of(e)) before[code] = states[code];
        before.sent = states.sent;
        auto out = fold_one(e, before, reg);
        for (const auto& effect : out.effects) states[effect.cylinder] = effect.after;
        for (const auto& p : out.postings) add_to(accounts[p.account], p.lot, p.mass);
        return out;
    }
    Outcome recover(const std::string& circuit, const std::string& into, const std::string& before,
                    const std::string& after) {
        kinds::Recover k;
        k.circuit = circuit;
        k.into = into;
        k.weighing = {lb(before), lb(after), {}};
        return take(k);
    }
    Outcome charge_net(const std::string& from, const std::string& net, bool emptied) {
        kinds::Charge k;
        k.circuit = "OAK/RACK/1";
        k.from = from;
        k.weighing.net = lb(net);
        k.emptied = emptied;
        return take(k);
    }
    void receive_jug() {
        kinds::Receive k;
        k.cylinder = "J-1";
        k.from = "Example Supply";
        k.refrigerant = "R-404A";
        k.weighing.net = lb("25lb");
        take(k);
    }
    Mass account(AccountKind kind, const std::string& code = {}) { return total(accounts[{kind, code}]); }
    /// The account of each cylinder holds, lot by lot, what its state says.
    void agrees() {
        for (const auto& kept : states) {  // clang lets no macro's lambda see a structured binding
            CAPTURE(kept.first);
            CHECK(accounts[{AccountKind::cylinder, kept.first}] == kept.second.lots);
        }
    }
};

}  // namespace

TEST_CASE("fold: a pair moves what it weighed, and its first weight is a level") {
    Bookkeeper b;
    const auto out = b.recover("OAK/RACK/1", "RC-1", "17lb", "30.5lb");
    CHECK(b.states["RC-1"].contents() == mass("13.5lb"));
    CHECK(b.states["RC-1"].gross == mass("30.5lb"));
    CHECK(b.account(AccountKind::circuit, "OAK/RACK/1") == -mass("13.5lb"));
    CHECK(out.gaps.empty());
    b.agrees();
}

TEST_CASE("fold: a gap within tolerance goes to the scale, one beyond it to unaccounted") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    CHECK(b.take(kinds::Weigh{"RC-1", lb("29.5lb"), false}).gaps.at(0).within_tolerance());
    CHECK(b.account(AccountKind::scale) == mass("0.5lb"));
    CHECK_FALSE(b.take(kinds::Weigh{"RC-1", lb("28.9lb"), false}).gaps.at(0).within_tolerance());
    CHECK(b.account(AccountKind::unaccounted) == mass("0.6lb"));
    CHECK(b.states["RC-1"].contents() == mass("11.9lb"));
    b.agrees();
}

TEST_CASE("fold: a draw takes from the lots in proportion, and gas that meets takes the worse words") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "26lb");
    b.recover("ELM/RACK/1", "RC-1", "26lb", "29lb");
    CHECK(b.states["RC-1"].reclaim_only);
    kinds::Transfer k;
    k.from = "RC-1";
    k.into = "RC-2";
    k.from_weighing = {lb("29lb"), lb("25lb"), {}};
    b.take(k);
    const Lots expected{{{"R-404A", "Elm Market", Condition::recovered}, mass("1lb")},
                        {{"R-404A", "Oak Foods", Condition::recovered}, mass("3lb")}};
    CHECK(b.states["RC-2"].lots == expected);
    CHECK(b.states["RC-2"].reclaim_only);
    b.agrees();
}

TEST_CASE("fold: virgin with recovered becomes recovered") {
    Bookkeeper b;
    b.receive_jug();
    b.recover("OAK/RACK/1", "RC-1", "17lb", "20lb");
    kinds::Transfer k;
    k.from = "J-1";
    k.into = "RC-1";
    k.from_weighing.net = lb("5lb");
    b.take(k);
    for (const auto& lot : b.states["RC-1"].lots) CHECK(lot.key.condition == Condition::recovered);
    b.agrees();
}

TEST_CASE("fold: two refrigerants make it mixed, and evacuation ends that") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "20lb");
    b.recover("OAK/OLD/1", "RC-1", "20lb", "22lb");
    CHECK(b.states["RC-1"].mixed);
    kinds::Evacuate k;
    k.cylinder = "RC-1";
    b.take(k);
    CHECK_FALSE(b.states["RC-1"].mixed);
    CHECK(b.states["RC-1"].lots.empty());
    b.agrees();
}

TEST_CASE("fold: a jug that gives a little more than its stamp closes itself") {
    Bookkeeper b;
    b.receive_jug();
    b.charge_net("J-1", "25.3lb", false);
    CHECK(b.states["J-1"].contents().is_zero());
    CHECK(b.account(AccountKind::scale) == -mass("0.3lb"));
    b.agrees();
}

TEST_CASE("fold: lots that cancel each other do not vanish without a posting when a cylinder is called empty") {
    Bookkeeper b;
    b.receive_jug();
    b.charge_net("J-1", "28lb", false);  // 3 lb overdrawn, as R-404A of the shop
    b.recover("OAK/OLD/1", "J-1", "0lb", "3lb");
    REQUIRE(b.states["J-1"].lots.size() > 1);
    kinds::Evacuate k;
    k.cylinder = "J-1";
    b.take(k);
    CHECK(b.states["J-1"].lots.empty());
    b.agrees();
}

TEST_CASE("fold: a cylinder that was weighed before and after a release has both weights as levels") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    kinds::Release k;
    k.cylinder = "RC-1";
    k.weighing = {lb("29.2lb"), lb("29.1lb"), {}};
    const auto out = b.take(k);
    CHECK(k.released() == mass("0.1lb"));
    CHECK(out.gaps.at(0).gap == -mass("0.8lb"));
    CHECK(out.effects.at(0).levelled.contents() == mass("12.2lb"));
    CHECK(b.account(AccountKind::atmosphere) == mass("0.1lb"));
    CHECK(b.account(AccountKind::unaccounted) == mass("0.8lb"));
    CHECK(b.states["RC-1"].gross == mass("29.1lb"));
    b.agrees();
}

TEST_CASE("fold: a cylinder that got heavier over a release counts as the scale said") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    kinds::Release k;
    k.cylinder = "RC-1";
    k.weighing = {lb("30lb"), lb("30.3lb"), {}};
    b.take(k);
    CHECK(b.states["RC-1"].contents() == mass("13.3lb"));
    CHECK(b.account(AccountKind::atmosphere) == -mass("0.3lb"));
    b.agrees();
}

TEST_CASE("fold: an estimated release takes the estimate, from a cylinder or from a circuit") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    kinds::Release k;
    k.cylinder = "RC-1";
    k.mass = lb("2lb");
    b.take(k);
    CHECK(b.states["RC-1"].contents() == mass("11lb"));
    k.cylinder.reset();
    k.circuit = "OAK/RACK/1";
    b.take(k);
    CHECK(b.account(AccountKind::atmosphere) == mass("4lb"));
    CHECK(b.account(AccountKind::circuit, "OAK/RACK/1") == -mass("15lb"));
    b.agrees();
}

TEST_CASE("fold: scale noise in a clean recovery cylinder takes the words of the first gas that comes in") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17.2lb", "20lb");
    CHECK_FALSE(b.states["RC-1"].mixed);
    CHECK_FALSE(b.states["RC-1"].reclaim_only);
    CHECK(b.states["RC-1"].lots == Lots{{{"R-404A", "Oak Foods", Condition::recovered}, mass("3lb")}});
    b.agrees();
}

TEST_CASE("fold: more than scale noise in a cylinder that should be clean is gas that nobody knows") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "18lb", "20lb");
    CHECK(b.states["RC-1"].mixed);
    b.agrees();
}

TEST_CASE("fold: a weight that went the wrong way still counts as the scale said") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    b.recover("OAK/RACK/1", "RC-1", "30lb", "29lb");
    CHECK(b.states["RC-1"].contents() == mass("12lb"));
    b.agrees();
}

TEST_CASE("fold: a lost cylinder's gas is in the lost account until it is found") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    b.take(kinds::Lost{"RC-1", "not in the van"});
    CHECK(b.account(AccountKind::lost) == mass("13lb"));
    CHECK(b.states["RC-1"].lost);
    b.agrees();
    b.take(kinds::Found{"RC-1", lb("30lb"), {}});
    CHECK(b.account(AccountKind::lost).is_zero());
    CHECK(b.states["RC-1"].contents() == mass("13lb"));
    b.agrees();
}

TEST_CASE("fold: a returned cylinder takes its gas along, and a move brings it back empty") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    kinds::Return k;
    k.cylinder = "RC-1";
    k.to = "Example Reclaim";
    k.gross = lb("30lb");
    b.take(k);
    CHECK(b.states["RC-1"].gone);
    CHECK(b.account(AccountKind::reclaimer, "Example Reclaim") == mass("13lb"));
    kinds::Move m;
    m.cylinder = "RC-1";
    m.place = "shop";
    b.take(m);
    CHECK_FALSE(b.states["RC-1"].gone);
    CHECK(b.states["RC-1"].contents().is_zero());
    b.agrees();
}

namespace {

// 13 lb of Oak's gas at a reclaimer.
Bookkeeper with_a_return() {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    kinds::Return k;
    k.cylinder = "RC-1";
    k.to = "Example Reclaim";
    k.gross = lb("30lb");
    b.take(k);
    b.states.sent = Sent{{}, "RC-1", "Example Reclaim", b.accounts[{AccountKind::reclaimer, "Example Reclaim"}], false};
    return b;
}
kinds::Settle statement(const char* refrigerant) {
    kinds::Settle k;
    k.cylinder = "RC-1";
    k.refrigerant = lb(refrigerant);
    return k;
}

}  // namespace

TEST_CASE("fold: oil, water and air of a statement are not refrigerant, and no shrink of the book's") {
    auto b = with_a_return();
    auto k = statement("11.5lb");
    k.oil = lb("1lb");
    k.water = lb("0.05lb");
    k.air = lb("0.15lb");
    const auto out = b.take(k);
    CHECK(b.account(AccountKind::reclaimer, "Example Reclaim") == mass("11.5lb"));
    CHECK(b.account(AccountKind::not_refrigerant) == mass("1.2lb"));
    CHECK(b.account(AccountKind::scale) == mass("0.3lb"));
    CHECK(b.account(AccountKind::unaccounted).is_zero());
    CHECK(out.effects.at(0).after == out.effects.at(0).before);
    b.agrees();
}

TEST_CASE("fold: what a statement does not explain is unaccounted beyond the tolerance of two scales") {
    auto b = with_a_return();
    b.take(statement("11lb"));
    CHECK(b.account(AccountKind::reclaimer, "Example Reclaim") == mass("11lb"));
    CHECK(b.account(AccountKind::unaccounted) == mass("2lb"));
    CHECK(b.account(AccountKind::not_refrigerant).is_zero());
    b.agrees();
}

TEST_CASE("fold: what a reclaimer destroyed leaves its account for the destroyer's") {
    auto b = with_a_return();
    auto k = statement("13lb");
    k.outcome = "destroyed";
    b.take(k);
    CHECK(b.account(AccountKind::reclaimer, "Example Reclaim").is_zero());
    CHECK(b.account(AccountKind::destroyer, "Example Reclaim") == mass("13lb"));
    b.agrees();
}

TEST_CASE("fold: gross less tare says what came in where no refrigerant is stated, and no weight says nothing new") {
    auto b = with_a_return();
    kinds::Settle k;
    k.cylinder = "RC-1";
    k.gross = lb("29.9lb");
    k.tare = lb("17lb");
    k.oil = lb("0.4lb");
    b.take(k);
    CHECK(b.account(AccountKind::reclaimer, "Example Reclaim") == mass("12.5lb"));
    CHECK(b.account(AccountKind::scale) == mass("0.1lb"));
    auto other = with_a_return();
    kinds::Settle silent;
    silent.cylinder = "RC-1";
    silent.outcome = "rejected";
    other.take(silent);
    CHECK(other.account(AccountKind::reclaimer, "Example Reclaim") == mass("13lb"));
    b.agrees();
}

TEST_CASE("fold: a statement without its return, after another, or about another cylinder moves nothing") {
    auto b = with_a_return();
    const auto sent = b.states.sent;
    b.states.sent.reset();
    CHECK(b.take(statement("11lb")).postings.empty());
    b.states.sent = sent;
    b.states.sent->settled = true;
    CHECK(b.take(statement("11lb")).postings.empty());
    b.states.sent = sent;
    b.states.sent->cylinder = "RC-2";
    CHECK(b.take(statement("11lb")).postings.empty());
}

TEST_CASE("fold: a statement about gas that the book never sent is owed by nobody it knows") {
    auto b = with_a_return();
    b.states.sent->lots.clear();
    auto k = statement("3lb");
    k.gas = "R-22";
    const auto out = b.take(k);
    const LotKey lot{"R-22", "unassigned", Condition::recovered};
    CHECK(out.postings == std::vector<Posting>{{{AccountKind::reclaimer, "Example Reclaim"}, lot, mass("3lb")},
                                               {{AccountKind::unaccounted, {}}, lot, -mass("3lb")}});
}

TEST_CASE("fold: cleaning makes recovered gas recycled, unless a test failed or it met other gas") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    kinds::Recycle k;
    k.cylinder = "RC-1";
    k.acid_test = "fail";
    b.take(k);
    CHECK(b.states["RC-1"].lots.at(0).key.condition == Condition::recovered);
    k.acid_test = "pass";
    b.take(k);
    CHECK(b.states["RC-1"].lots == Lots{{{"R-404A", "Oak Foods", Condition::recycled}, mass("13lb")}});
    b.recover("OAK/RACK/1", "RC-1", "30lb", "31lb");  // recovered gas on top: all of it is recovered again
    CHECK(b.states["RC-1"].lots == Lots{{{"R-404A", "Oak Foods", Condition::recovered}, mass("14lb")}});
    b.recover("OAK/OLD/1", "RC-1", "31lb", "32lb");
    b.take(k);
    for (const auto& lot : b.states["RC-1"].lots) CHECK(lot.key.condition == Condition::recovered);
    b.agrees();
}

TEST_CASE("fold: an acid test that passed ends acid, and nothing ends burnt-out") {
    for (const auto* gas : {"acid", "burnt-out"}) {
        CAPTURE(gas);
        Bookkeeper b;
        kinds::Recover r;
        r.circuit = "OAK/RACK/1";
        r.into = "RC-1";
        r.weighing = {lb("17lb"), lb("30lb"), {}};
        r.gas = gas;
        b.take(r);
        kinds::Recycle k;
        k.cylinder = "RC-1";
        b.take(k);
        CHECK(b.states["RC-1"].spoiled == gas);
        k.acid_test = "pass";
        b.take(k);
        CHECK(b.states["RC-1"].spoiled == (std::string(gas) == "acid" ? "" : gas));
    }
}

TEST_CASE(
    "fold: a count's weight is a level as any other; what is missing, unknown or given as a reason moves nothing") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    const std::string count(64, 'c');
    CHECK(b.take(kinds::StocktakeBegin{"shop", false}).postings.empty());
    const auto out = b.take(kinds::StocktakeWeigh{count, "RC-1", lb("28.9lb"), "on", "R-22"});
    CHECK(out.gaps.at(0).gap == -mass("1.1lb"));
    CHECK(b.account(AccountKind::unaccounted) == mass("1.1lb"));
    CHECK(b.states["RC-1"].gross == mass("28.9lb"));
    CHECK(b.take(kinds::StocktakeMissing{count, "RC-1"}).postings.empty());
    CHECK_FALSE(b.states["RC-1"].lost);
    CHECK(b.take(kinds::StocktakeUnknown{count, "ODD-1", lb("44lb"), {}, {}}).effects.empty());
    CHECK(b.take(kinds::StocktakeReason{count, "RC-1", "hose left open"}).postings.empty());
    CHECK(b.take(kinds::StocktakeClose{count, "tom"}).postings.empty());
    b.agrees();
}

TEST_CASE("fold: what the hoses lost goes where the person says") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    kinds::Transfer k;
    k.from = "RC-1";
    k.into = "RC-2";
    k.from_weighing = {lb("30lb"), lb("20lb"), {}};
    k.into_weighing = {lb("17lb"), lb("26lb"), {}};
    k.hose_loss = "atmosphere";
    b.take(k);
    CHECK(b.account(AccountKind::atmosphere) == mass("1lb"));
    CHECK(b.account(AccountKind::unaccounted).is_zero());
    b.agrees();
}

TEST_CASE("fold: what is pumped down inside its own appliance moves nothing in the book") {
    Bookkeeper b;
    CHECK(b.take(kinds::Pumpdown{"OAK/RACK/1", "5psig", {}, {}, {}}).postings.empty());
    b.agrees();
}

TEST_CASE("fold: what is pumped over leaves one appliance and enters the other, with the words of where it came from") {
    Bookkeeper b;
    const auto out = b.take(kinds::Pumpdown{"OAK/RACK/1", {}, "OAK/OLD", lb("12lb"), "piping"});
    const LotKey lot{"R-404A", "Oak Foods", Condition::recovered};
    CHECK(out.postings == std::vector<Posting>{{{AccountKind::circuit, "OAK/RACK/1"}, lot, -mass("12lb")},
                                               {{AccountKind::circuit, "OAK/OLD"}, lot, mass("12lb")}});
    CHECK(out.effects.empty());
    b.agrees();
}

TEST_CASE("fold: evidence moves a lot to another refrigerant, and the counter-account keeps I1") {
    Bookkeeper b;
    b.recover("OAK/RACK/1", "RC-1", "17lb", "30lb");
    kinds::Reclassify k;
    k.cylinder = "RC-1";
    k.evidence = "laboratory";
    k.to_refrigerant = "R-22";
    b.take(k);
    CHECK(b.states["RC-1"].lots == Lots{{{"R-22", "Oak Foods", Condition::recovered}, mass("13lb")}});
    CHECK(b.account(AccountKind::reclassified).is_zero());
    b.agrees();
}

}  // namespace fold_test
