// The edge of the fill limit, to a hundredth of a pound, against the published rule: 0.80 x water capacity x specific
// gravity at 77 F (AHRI Guideline K, as quoted in the trade press).
#include "shop.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/refrigerant/fill_limit.hpp"

using namespace shop;

namespace {

Mass limit(FillQuestion question) {
    question.water_capacity = Volume::of_water(lb("47.6lb").mass);
    return fill_limits(question).value().net();
}
bool refused_at(Shop& s, const std::string& circuit, Mass gross) {
    kinds::Recover k;
    k.circuit = circuit;
    k.into = "RC-2";
    k.weighing = {lb("17.00"), Weight{gross, pounds_text(gross)}, {}};
    for (const auto& f : s.judge(s.event(k)).findings)
        if (f.check == "fill-limit") return true;
    return false;
}

}  // namespace

TEST_CASE("one refrigerant: refused a hundredth of a pound over the limit, taken a hundredth under") {
    FillQuestion question;
    question.refrigerant = Catalogue().find("R-404A");
    const Mass step = Mass::thousandths_of_a_pound(10);
    const Mass edge = limit(question).rounded_down_to(step) + lb("17lb").mass;
    Shop s;
    s.cylinder("RC-2", {});
    CHECK_FALSE(refused_at(s, "OAK/RACK-B/4", edge));
    CHECK(refused_at(s, "OAK/RACK-B/4", edge + step));
}

TEST_CASE("gas without a name: the rule for unknown contents, 0.65 x water capacity") {
    Shop s;
    s.cylinder("RC-2", {{"refrigerant", ""}});
    CHECK_FALSE(refused_at(s, "OAK/BARE/1", lb("47.94lb").mass));  // 17 + 0.65 x 47.6 = 47.94
    CHECK(refused_at(s, "OAK/BARE/1", lb("47.95lb").mass));
}

TEST_CASE("a named gas onto one without a name: the rule for unknown contents still binds") {
    Shop s;
    s.cylinder("RC-2", {{"refrigerant", ""}});
    s.take(s.recover("OAK/BARE/1", "RC-2", "17.00", "20.00"));
    kinds::Recover k;
    k.circuit = "OAK/RACK-B/4";
    k.into = "RC-2";
    k.weighing = {lb("20.00"), lb("47.95"), {}};
    bool refused = false;
    for (const auto& f : s.judge(s.event(k)).findings) refused |= f.check == "fill-limit";
    CHECK(refused);
}

TEST_CASE("what to draw down to is what the scale can show, at or under the limit") {
    // 17 + 39.797 = 56.797 lb: 56.75 on a scale of 0.05 lb, 56.50 on one of 0.5 lb
    for (const auto& [division, stop] : {std::pair{"0.05lb", "56.75 lb"}, std::pair{"0.5lb", "56.50 lb"}}) {
        Shop s;
        s.cylinder("RC-2", {});
        s.entry(EntryKind::scale, "S1", {{"reads", "lb"}, {"division", division}});
        std::string said;
        for (const auto& f : s.judge(s.recover("OAK/RACK-B/4", "RC-2", "17.00", "60.00")).findings)
            if (f.check == "fill-limit") said = f.expected + "; " + f.next;
        CAPTURE(said);
        CHECK(said.starts_with("at most " + std::string(stop) + " gross"));
        CHECK(said.find("down to " + std::string(stop) + " gross") != std::string::npos);
    }
}
