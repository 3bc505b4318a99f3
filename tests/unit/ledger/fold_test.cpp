#include <doctest/doctest.h>

#include <map>

#include "ledger/lots.hpp"
#include "tarebook/ledger.hpp"

using namespace tarebook;

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
