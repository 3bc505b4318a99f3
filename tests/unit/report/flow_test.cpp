#include <doctest/doctest.h>

#include <regex>

#include "report/year_flow.hpp"
#include "support/year_book.hpp"

using namespace tarebook;
using namespace tarebook::report;
using tarebook::test::mass;
using tarebook::test::YearBook;

namespace {

YearBook shop() {
    YearBook b;
    b.entry("2024-01-01 08:00", EntryKind::site, "OAK", {{"owner", {"Oak Foods", {}}}});
    b.appliance("OAK/RACK", "R-404A", "900lb");
    for (const auto* code : {"RC-1", "RC-2"})
        b.entry("2024-01-01 08:00", EntryKind::cylinder, code, {{"tare", {"17lb", mass("17lb")}}});
    b.entry("2024-01-01 08:00", EntryKind::cylinder, "J-1", {{"use", {"supply", {}}}, {"refrigerant", {"R-404A", {}}}});
    kinds::Receive k;
    k.cylinder = "J-1", k.from = "Harlan Supply", k.refrigerant = "R-404A", k.stamped = true;
    k.weighing.net = test::lb("100lb");
    b.take("2025-02-01 09:00", k);
    b.charge("2025-03-01 09:00", "OAK/RACK/1", "J-1", "20lb", Reason::leak);
    return b;
}

Mass sum_of(const std::vector<FlowBand>& bands) {
    Mass sum;
    for (const auto& band : bands) sum += band.mass;
    return sum;
}
void check_balanced(const FlowNode& node) {
    CHECK(sum_of(node.in) + node.joint_in == sum_of(node.out) + node.joint_out);
    for (const auto* side : {&node.in, &node.out})
        for (const auto& band : *side) CHECK(band.mass > Mass());
}
Mass band(const std::vector<FlowBand>& bands, std::string_view words) {
    for (const auto& b : bands)
        if (b.words == words) return b.mass;
    return {};
}

// How thick the bands of a class were drawn.
std::vector<double> drawn(const std::string& svg, const std::string& of_class) {
    std::vector<double> out;
    const std::regex rect("<rect class=\"" + of_class + "\"[^>]* height=\"([0-9.]+)\"");
    for (std::sregex_iterator it(svg.begin(), svg.end(), rect), end; it != end; ++it)
        out.push_back(std::stod((*it)[1]));
    return out;
}

}  // namespace

TEST_CASE("the bands of a gas balance as its year does, and are what the balance says") {
    auto b = shop();
    b.charge("2026-03-01 09:00", "OAK/RACK/1", "J-1", "6lb", Reason::leak);
    b.recover("2026-03-02 09:00", "OAK/RACK/1", "RC-1", "12.5lb", Reason::leak);
    kinds::Reuse reuse;
    reuse.circuit = "OAK/RACK/1", reuse.from = "RC-1", reuse.reason = Reason::leak;
    reuse.weighing.net = test::lb("10lb");
    b.take("2026-03-03 09:00", reuse);
    const auto year = b.balance(2026);
    const auto flows = gas_flows(year);
    REQUIRE(flows.size() == 1);
    const auto& flow = flows[0];
    check_balanced(flow.cylinders);
    check_balanced(flow.equipment);
    CHECK(flow.refrigerant == "R-404A");
    CHECK(band(flow.cylinders.in, "at the start") == mass("80lb"));
    CHECK(flow.cylinders.joint_in == mass("12.5lb"));
    CHECK(flow.cylinders.joint_out == mass("16lb"));
    CHECK(flow.charged == mass("6lb"));
    CHECK(flow.reused == mass("10lb"));
    CHECK(band(flow.cylinders.out, "at the end") == mass("76.5lb"));
    CHECK(flow.cylinders.through() == mass("92.5lb"));
    CHECK(flow.is_joined_into());
    CHECK(flow.is_joined_back());
    CHECK(band(flow.equipment.out, "net put in") == mass("3.5lb"));

    const auto picture = flow_picture(flow, DisplayUnits::lb);
    for (const auto* figure : {"80.00 lb", "12.50 lb", "16.00 lb", "charged 6.00 lb", "reused 10.00 lb", "76.50 lb"})
        CHECK(picture.svg.find(figure) != std::string::npos);
    CHECK(picture.told.find("at the start 80.00 lb") != std::string::npos);
    CHECK(picture.svg.find("style") == std::string::npos);
    // as wide as their mass, to the tenth that is drawn
    const auto kept = drawn(picture.svg, "kept");
    REQUIRE(kept.size() == 3);  // at the start, at the end, net put in
    CHECK(kept[0] / kept[1] == doctest::Approx(80 / 76.5).epsilon(0.01));
    CHECK(kept[0] / kept[2] == doctest::Approx(80 / 3.5).epsilon(0.03));
}

TEST_CASE("an owner's part is drawn without going round where the two sides are of different gas") {
    auto b = shop();
    b.charge("2026-03-01 09:00", "OAK/RACK/1", "J-1", "6lb", Reason::leak);
    auto year = b.balance(2026);
    std::erase_if(year.stock, [](const auto& line) { return line.first.owner == "shop"; });
    const auto flows = gas_flows(year);
    REQUIRE(flows.size() == 1);
    CHECK(flows[0].cylinders.through() == Mass());
    CHECK(flows[0].equipment.joint_in == mass("6lb"));
    CHECK_FALSE(flows[0].is_joined_into());
    const auto picture = flow_picture(flows[0], DisplayUnits::lb);
    CHECK(picture.svg.find("<path") == std::string::npos);
    CHECK(picture.svg.find(">put in<") != std::string::npos);
    CHECK(picture.svg.find(">cylinders<") == std::string::npos);
}

TEST_CASE("what is less than nothing flows the other way, and a gas that lay still is not drawn") {
    auto b = shop();
    b.charge("2026-03-01 09:00", "OAK/RACK/1", "J-1", "95lb", Reason::leak);  // of 80 lb that the book knows
    const auto flows = gas_flows(b.balance(2026));
    REQUIRE(flows.size() == 1);
    check_balanced(flows[0].cylinders);
    CHECK(band(flows[0].cylinders.in, "below zero at end") == mass("15lb"));
    CHECK(flow_picture(flows[0], DisplayUnits::kg).svg.find(">6.80") != std::string::npos);

    b.recover("2027-03-01 09:00", "OAK/RACK/1", "RC-1", "1lb", Reason::leak);
    const auto after = gas_flows(b.balance(2027));
    REQUIRE(after.size() == 1);
    check_balanced(after[0].cylinders);
    check_balanced(after[0].equipment);
    CHECK(band(after[0].cylinders.out, "below zero at start") == mass("15lb"));
    for (const double width : drawn(flow_picture(after[0], DisplayUnits::lb).svg, "kept")) CHECK(width > 0);

    CHECK(gas_flows(b.balance(2028)).empty());
}
