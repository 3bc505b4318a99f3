#include "tarebook/ledger/register.hpp"

#include <doctest/doctest.h>

using namespace tarebook;

namespace {

OrderKey at(int day, std::int64_t seq) {
    return {std::chrono::sys_days{std::chrono::year{2026} / 1 / day}, {}, seq};
}
Event entry(EntryKind kind, const std::string& code, FieldValues values, const OrderKey& when) {
    Event e;
    e.when.at = when.at;
    e.seq = when.seq;
    e.what = kinds::Entry{kind, code, true, std::move(values)};
    return e;
}
FieldValue mass(const char* typed) {
    return {typed, parse_weight(typed, ScaleReads::lb).value().mass};
}

}  // namespace

TEST_CASE("register: a value holds from its moment on, the first one also before") {
    RegisterInMemory reg;
    reg.apply(entry(EntryKind::cylinder, "RC-1", {{"tare", mass("17lb")}}, at(10, 1)));
    reg.apply(entry(EntryKind::cylinder, "RC-1", {{"tare", mass("17.4lb")}}, at(20, 2)));
    CHECK(cylinder_facts(reg, "RC-1", at(1, 9))->tare == mass("17lb").mass);
    CHECK(cylinder_facts(reg, "RC-1", at(19, 9))->tare == mass("17lb").mass);
    CHECK(cylinder_facts(reg, "RC-1", at(20, 2))->tare == mass("17.4lb").mass);
    CHECK(cylinder_facts(reg, "RC-1", at(20, 1))->tare == mass("17lb").mass);  // same instant, earlier sequence
}

TEST_CASE("register: what was applied does not depend on the order of applying (I5)") {
    const auto first = entry(EntryKind::cylinder, "RC-1", {{"tare", mass("17lb")}}, at(10, 1));
    const auto second = entry(EntryKind::cylinder, "RC-1", {{"tare", mass("17.4lb")}}, at(20, 2));
    RegisterInMemory reg;
    reg.apply(second);
    reg.apply(first);
    CHECK(cylinder_facts(reg, "RC-1", at(15, 9))->tare == mass("17lb").mass);
    CHECK(cylinder_facts(reg, "RC-1", at(25, 9))->tare == mass("17.4lb").mass);
}

TEST_CASE("register: a voided entry is out from its own moment, and the last one takes the cylinder with it") {
    const auto first = entry(EntryKind::cylinder, "RC-1", {{"tare", mass("17lb")}}, at(10, 1));
    const auto second = entry(EntryKind::cylinder, "RC-1", {{"tare", mass("17.4lb")}}, at(20, 2));
    RegisterInMemory reg;
    reg.apply(first);
    reg.apply(second);
    reg.retract(second);
    CHECK(cylinder_facts(reg, "RC-1", at(25, 9))->tare == mass("17lb").mass);
    reg.retract(first);
    CHECK(cylinder_facts(reg, "RC-1", at(25, 9)) == nullptr);
}

TEST_CASE("register: an emptied word is not on record") {
    RegisterInMemory reg;
    reg.apply(entry(EntryKind::cylinder, "RC-1", {{"spec", {"DOT-4BA400", {}}}}, at(10, 1)));
    reg.apply(entry(EntryKind::cylinder, "RC-1", {{"spec", {"", {}}}}, at(20, 2)));
    CHECK(cylinder_facts(reg, "RC-1", at(15, 9))->spec == "DOT-4BA400");
    CHECK_FALSE(cylinder_facts(reg, "RC-1", at(25, 9))->spec.has_value());
}

TEST_CASE("register: a requalification and a conversion set what they imply") {
    RegisterInMemory reg;
    reg.apply(entry(EntryKind::cylinder, "RC-1", {{"tested", {"2020-01", {}}}}, at(1, 1)));
    reg.apply(entry(EntryKind::appliance, "OAK/RACK", {{"refrigerant", {"R-22", {}}}}, at(1, 2)));
    Event requalified;
    requalified.when.at = at(10, 0).at;
    requalified.seq = 3;
    requalified.what = kinds::Requalify{"RC-1", "2026-01", {}};
    Event converted = requalified;
    converted.seq = 4;
    converted.what = kinds::Convert{"OAK/RACK", "R-448A", {}};
    reg.apply(requalified);
    reg.apply(converted);
    CHECK(cylinder_facts(reg, "RC-1", at(9, 9))->tested == "2020-01");
    CHECK(cylinder_facts(reg, "RC-1", at(11, 9))->tested == "2026-01");
    CHECK(place_facts(reg, "OAK/RACK/2", at(9, 9))->refrigerant == "R-22");
    CHECK(place_facts(reg, "OAK/RACK/2", at(11, 9))->refrigerant == "R-448A");
}

TEST_CASE("register: a water capacity may be water by weight or litres") {
    RegisterInMemory reg;
    reg.apply(entry(EntryKind::cylinder, "RC-1", {{"wc", mass("47.6lb")}}, at(1, 1)));
    reg.apply(entry(EntryKind::cylinder, "RC-2", {{"wc", {"21.6L", {}}}}, at(1, 2)));
    // 47.6 lb of water at 60 F, 999.0 kg/m3: 21.591 kg in 21.613 l
    CHECK(cylinder_facts(reg, "RC-1", at(2, 0))->water_capacity->in_litres() == doctest::Approx(21.613).epsilon(1e-4));
    CHECK(cylinder_facts(reg, "RC-2", at(2, 0))->water_capacity->in_litres() == doctest::Approx(21.6));
}

TEST_CASE("register: the full charge of a range is its midpoint (40 CFR 82.152, full charge (4))") {
    RegisterInMemory reg;
    reg.apply(entry(EntryKind::appliance, "OAK/RACK",
                    {{"full_charge", mass("900lb")}, {"full_charge_to", mass("1100lb")}}, at(1, 1)));
    CHECK(place_facts(reg, "OAK/RACK", at(2, 0))->full_charge == Mass::pounds(1000));
}

TEST_CASE("register: sister companies share a group, others are their own") {
    RegisterInMemory reg;
    reg.apply(entry(EntryKind::site, "OAK", {{"owner", {"Oak Foods", {}}}, {"owner_group", {"Oak", {}}}}, at(1, 1)));
    reg.apply(entry(EntryKind::site, "ASH", {{"owner", {"Oak Deli", {}}}, {"owner_group", {"Oak", {}}}}, at(1, 2)));
    reg.apply(entry(EntryKind::site, "ELM", {{"owner", {"Elm Market", {}}}}, at(1, 3)));
    CHECK(reg.group_of("Oak Foods") == reg.group_of("Oak Deli"));
    CHECK(reg.group_of("Elm Market") == "Elm Market");
    CHECK(reg.group_of("nobody") == "nobody");
}

TEST_CASE("register: a circuit's code names its site and appliance") {
    CHECK(site_of("OAK/RACK-B/4") == "OAK");
    CHECK(appliance_of("OAK/RACK-B/4") == "OAK/RACK-B");
    CHECK(appliance_of("OAK/RACK-B") == "OAK/RACK-B");
    CHECK(site_of("OAK") == "OAK");
}

TEST_CASE("register: a gas in stock has the code of its place, in letters that a code may have") {
    CHECK(stock_code("R-448A", "truck-2") == "truck-2/R-448A");
    CHECK(stock_code("R-448A", "") == "R-448A");
    CHECK(stock_code("R-1234ze(E)", "back shelf") == "back-shelf/R-1234ze_E");
    CHECK(stock_code("R-1234ze(E)", "") != stock_code("R-1234ze(Z)", ""));
}
