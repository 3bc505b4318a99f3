#include <doctest/doctest.h>

#include "support/year_book.hpp"
#include "tarebook/year/seal.hpp"

using namespace tarebook;
using tarebook::test::lb;
using tarebook::test::mass;
using tarebook::test::YearBook;

namespace {

YearBook small_shop() {
    YearBook b;
    b.entry("2024-01-01 08:00", EntryKind::site, "OAK", {{"owner", {"Oak Foods", {}}}});
    b.entry("2024-01-01 08:00", EntryKind::site, "ELM", {{"owner", {"Elm Market", {}}}});
    b.appliance("OAK/RACK", "R-404A", "900lb");
    b.appliance("ELM/RACK", "R-404A", "400lb");
    b.entry("2024-01-01 08:00", EntryKind::cylinder, "RC-1", {{"tare", {"17lb", mass("17lb")}}});
    b.entry("2024-01-01 08:00", EntryKind::cylinder, "RC-2", {{"tare", {"17lb", mass("17lb")}}});
    b.entry("2024-01-01 08:00", EntryKind::cylinder, "J-1", {{"use", {"supply", {}}}, {"refrigerant", {"R-404A", {}}}});
    return b;
}

kinds::Receive stamped(const std::string& cylinder, const std::string& net) {
    kinds::Receive k;
    k.cylinder = cylinder, k.from = "Harlan Supply", k.refrigerant = "R-404A", k.stamped = true;
    k.weighing.net = lb(net);
    return k;
}
kinds::Recover pair(const std::string& circuit, const std::string& into, const std::string& before,
                    const std::string& after) {
    kinds::Recover k;
    k.circuit = circuit, k.into = into;
    k.weighing = {lb(before), lb(after), {}};
    return k;
}

const YearLine& stock(const YearBalance& b, const std::string& owner, const std::string& gas = "R-404A") {
    return b.stock.at({gas, owner}).line;
}

}  // namespace

TEST_CASE("a year balances stock by whose gas it is and equipment by where it went") {
    auto b = small_shop();
    b.take("2026-02-01 09:00", stamped("J-1", "25lb"));
    b.charge("2026-03-01 09:00", "OAK/RACK/1", "J-1", "6lb", Reason::leak);
    b.take("2026-03-02 09:00", pair("OAK/RACK/1", "RC-1", "17lb", "29.5lb"));
    const auto year = b.balance(2026);

    CHECK(stock(year, "shop").sum(Term::received, Basis::stated) == mass("25lb"));
    CHECK(stock(year, "shop").sum(Term::charged, Basis::weighed) == -mass("6lb"));
    CHECK(stock(year, "shop").closing() == mass("19lb"));
    CHECK(stock(year, "Oak Foods").sum(Term::recovered, Basis::weighed) == mass("12.5lb"));

    // the charged gas was the shop's, the circuit is Oak Foods'
    const auto& rack = year.equipment.at({"R-404A", "Oak Foods", "OAK/RACK"});
    CHECK(rack.sum(Term::charged) == mass("6lb"));
    CHECK(rack.sum(Term::recovered) == -mass("12.5lb"));
    CHECK(rack.closing() == -mass("6.5lb"));  // more came out than was put in since the book began
    CHECK(year.events == 3);
}

TEST_CASE("an event belongs to the year of its local date, not of its instant") {
    auto b = small_shop();
    b.take("2026-12-31 23:30", stamped("J-1", "25lb"));  // 2027-01-01 05:30 UTC
    CHECK(stock(b.balance(2026), "shop").sum(Term::received) == mass("25lb"));
    CHECK(stock(b.balance(2027), "shop").sum(Term::received).is_zero());
    CHECK(stock(b.balance(2027), "shop").opening() == mass("25lb"));
    CHECK(b.balance(2025).stock.empty());
}

TEST_CASE("how a mass is known: a scale, a stamp or invoice, or an estimate") {
    auto b = small_shop();
    kinds::Receive weighed;
    weighed.cylinder = "RC-2", weighed.from = "Harlan Supply", weighed.refrigerant = "R-404A";
    weighed.gross = lb("27lb");
    b.take("2026-01-02 09:00", weighed);
    kinds::Charge others;
    others.circuit = "ELM/RACK/1", others.from = "outside:Northline Mechanical";
    others.weighing.net = lb("8lb");
    b.take("2026-01-03 09:00", others);
    kinds::Release estimated;
    estimated.cylinder = "RC-2", estimated.mass = lb("0.25lb"), estimated.method = "guess", estimated.why = "hose";
    b.take("2026-01-04 09:00", estimated);
    kinds::Return unweighed;
    unweighed.cylinder = "RC-2", unweighed.to = "Larkfield Reclaim";
    b.take("2026-01-05 09:00", unweighed);
    const auto year = b.balance(2026);

    const auto& shop = stock(year, "shop");
    CHECK(shop.sum(Term::received, Basis::weighed) == mass("10lb"));
    CHECK(shop.sum(Term::released, Basis::estimated) == -mass("0.25lb"));
    CHECK(shop.sum(Term::returned, Basis::estimated) == -mass("9.75lb"));
    CHECK(shop.closing().is_zero());
    const auto& elm = year.equipment.at({"R-404A", "Elm Market", "ELM/RACK"});
    CHECK(elm.sum(Term::by_others, Basis::stated) == mass("8lb"));
    CHECK(shop.sum(Term::by_others).is_zero());  // it never was in a cylinder of the shop
}

TEST_CASE("counted is what the scale found last; what was never weighed against a tare is told apart") {
    auto b = small_shop();
    b.take("2026-02-01 09:00", stamped("J-1", "25lb"));
    b.take("2026-03-02 09:00", pair("OAK/RACK/1", "RC-1", "17lb", "29lb"));
    b.recover("2026-03-03 09:00", "OAK/RACK/1", "RC-1", "3lb", Reason::open);  // net: no level
    const auto year = b.balance(2026);

    CHECK(year.stock.at({"R-404A", "Oak Foods"}).line.closing() == mass("15lb"));
    CHECK(year.stock.at({"R-404A", "Oak Foods"}).counted == mass("12lb"));
    CHECK(year.stock.at({"R-404A", "shop"}).counted.is_zero());
    CHECK(year.stock.at({"R-404A", "shop"}).not_counted == mass("25lb"));
    CHECK(year.cylinders.at("RC-1").weighed_on == std::chrono::sys_days(std::chrono::year(2026) / 3 / 2));
    CHECK_FALSE(year.cylinders.at("J-1").weighed_on);
}

TEST_CASE("what has left with its cylinder is counted no more, though nobody weighed it on the way") {
    auto b = small_shop();
    b.take("2026-03-02 09:00", pair("OAK/RACK/1", "RC-1", "17lb", "29lb"));
    kinds::Return gone;
    gone.cylinder = "RC-1", gone.to = "Larkfield Reclaim";
    b.take("2026-03-05 09:00", gone);
    const auto year = b.balance(2026);
    const auto& stock = year.stock.at({"R-404A", "Oak Foods"});
    CHECK(stock.line.closing().is_zero());
    CHECK(stock.line.sum(Term::returned) == -mass("12lb"));
    CHECK(stock.counted.is_zero());
}

TEST_CASE("gas that turns out to be another owner's leaves the one and enters the other, and nothing else changes") {
    auto b = small_shop();
    b.take("2026-03-02 09:00", pair("OAK/RACK/1", "RC-1", "17lb", "29lb"));
    kinds::Reclassify k;
    k.cylinder = "RC-1", k.evidence = "job sheet", k.to_owner = "Elm Market";
    b.take("2026-03-03 09:00", k);
    const auto year = b.balance(2026);
    CHECK(stock(year, "Oak Foods").sum(Term::reclassified) == -mass("12lb"));
    CHECK(stock(year, "Elm Market").sum(Term::reclassified) == mass("12lb"));
    CHECK(stock(year, "Oak Foods").closing().is_zero());
}

TEST_CASE("gas is the equipment's whose owner the site had at that moment") {
    auto b = small_shop();
    b.take("2026-01-02 09:00", stamped("J-1", "25lb"));
    b.charge("2026-03-01 09:00", "OAK/RACK/1", "J-1", "6lb", Reason::leak);
    b.entry("2026-06-01 08:00", EntryKind::site, "OAK", {{"owner", {"New Oak", {}}}});
    b.charge("2026-07-01 09:00", "OAK/RACK/1", "J-1", "2lb", Reason::leak);
    const auto year = b.balance(2026);
    CHECK(year.equipment.at({"R-404A", "Oak Foods", "OAK/RACK"}).closing() == mass("6lb"));
    CHECK(year.equipment.at({"R-404A", "New Oak", "OAK/RACK"}).closing() == mass("2lb"));
}

namespace {
YearLoss loss_of(YearBook& b, int year, const EquipmentKey& key) {
    const std::chrono::sys_days start = std::chrono::year(year) / 1 / 1, end = std::chrono::year(year + 1) / 1 / 1;
    const auto balance = b.balance(year);
    const auto line = balance.equipment.find(key);
    return equipment_loss(key, line == balance.equipment.end() ? YearLine() : line->second, b.reg(), start,
                          end - std::chrono::seconds(1));
}
const EquipmentKey oak_rack{"R-404A", "Oak Foods", "OAK/RACK"}, elm_rack{"R-404A", "Elm Market", "ELM/RACK"};
}  // namespace

TEST_CASE("a loss below zero is shown as it is") {
    auto b = small_shop();
    b.recover("2026-03-03 09:00", "OAK/RACK/1", "RC-1", "3lb", Reason::overcharge);
    const auto loss = loss_of(b, 2026, oak_rack);
    CHECK(loss.material.loss() == -mass("3lb"));
    CHECK(loss.simplified.loss() == -mass("3lb"));
}

TEST_CASE("what was taken out and stands in cylinders at the end of the year is no loss, and none when it goes back") {
    auto b = small_shop();
    b.recover("2026-11-03 09:00", "OAK/RACK/1", "RC-1", "40lb", Reason::open);
    const auto first = loss_of(b, 2026, oak_rack);
    CHECK(first.material.left_out_at_end == mass("40lb"));
    CHECK(first.material.loss().is_zero());
    CHECK(first.simplified.loss().is_zero());
    CHECK(loss_of(b, 2027, oak_rack).material.loss().is_zero());  // still out
    b.take("2027-02-01 09:00", stamped("J-1", "25lb"));
    b.charge("2027-03-01 09:00", "OAK/RACK/1", "RC-1", "38lb", Reason::put_back);
    const auto second = loss_of(b, 2027, oak_rack);
    CHECK(second.material.left_out_at_end == mass("2lb"));  // in the cylinder, or on its way
    CHECK(second.material.loss().is_zero());
    b.charge("2027-03-02 09:00", "OAK/RACK/1", "J-1", "5lb", Reason::leak);  // it takes 3 lb more than is missing
    const auto third = loss_of(b, 2027, oak_rack);
    CHECK(third.material.left_out_at_end.is_zero());
    CHECK(third.material.loss() == mass("3lb"));
    CHECK(third.simplified.loss() == mass("3lb"));
}

TEST_CASE("more than the full charge cannot be missing, and what goes for good leaves nothing to put back") {
    auto b = small_shop();
    b.recover("2026-11-03 09:00", "ELM/RACK/1", "RC-1", "410lb", Reason::open);  // its full charge is 400 lb
    CHECK(loss_of(b, 2026, elm_rack).material.loss() == -mass("10lb"));
    b.recover("2026-12-03 09:00", "ELM/RACK/1", "RC-1", "2lb", Reason::disposal);
    CHECK(loss_of(b, 2026, elm_rack).material.left_out_at_end.is_zero());
}

TEST_CASE(
    "gas that is pumped from one appliance into another is missing from the one and more than full in the other") {
    auto b = small_shop();
    kinds::Pumpdown k;
    k.circuit = "OAK/RACK/1", k.to = "ELM/RACK", k.mass = lb("12lb"), k.method = "sight glass";
    b.take("2026-06-01 09:00", k);
    CHECK(loss_of(b, 2026, oak_rack).material.loss().is_zero());
    CHECK(loss_of(b, 2026, elm_rack).material.loss().is_zero());
    CHECK(loss_of(b, 2026, elm_rack).material.left_out_at_end == -mass("12lb"));
    CHECK(loss_of(b, 2026, elm_rack).simplified.loss().is_zero());
}

TEST_CASE("the digest of a year's balances does not change by what was left out before it") {
    auto b = small_shop();
    b.take("2024-02-01 09:00", stamped("J-1", "25lb"));
    b.charge("2024-03-01 09:00", "OAK/RACK/1", "J-1", "5lb", Reason::leak);
    b.recover("2024-04-01 09:00", "OAK/RACK/1", "RC-1", "5lb", Reason::open);  // put in and taken out: nothing, net
    auto balance = b.balance(2026);
    REQUIRE(balance.equipment.contains(oak_rack));
    CHECK(balance.equipment.at(oak_rack).left_out_at_start() == mass("5lb"));
    const auto digest = digest_of(balance);
    balance.equipment.erase(oak_rack);
    CHECK(digest_of(balance) == digest);
}
