// What a program is told about a cylinder as it is now: all that the checks know, and the same figures. The rules are
// held against their sources in tests/reference; here it is whether each word on record reaches them.
#include "tarebook/checks/fill_now.hpp"

#include "shop.hpp"

using namespace shop;

namespace fill_now_test {

namespace {

CylinderNow cylinder(const Lots& lots, const char* tare = "27.5lb") {
    CylinderNow out;
    out.code = "RC-01";
    out.facts.refrigerant = "R-448A";
    out.facts.water_capacity = Volume::of_water(lb("47.6lb").mass);
    out.facts.tare = lb(tare).mass;
    out.state.lots = lots;
    return out;
}
Lot lot(const char* gas, const char* mass) {
    // a weight has no sign; what the book has overdrawn is below zero
    const bool overdrawn = mass[0] == '-';
    const auto size = lb(overdrawn ? mass + 1 : mass).mass;
    return {{gas, "Oak Foods", Condition::recovered}, overdrawn ? -size : size};
}
FillLimitNow now(const CylinderNow& c, const FillConditions& conditions = {}) {
    return fill_limit_now({}, c, conditions).value();
}

}  // namespace

TEST_CASE("a cylinder as it is now: limit, rule, net, share, stop and room") {
    // AHRI Guideline K as the trade press quotes it: 0.80 x 47.6 lb x 1.0985 (R-448A at 77 F, this project's table)
    const auto fill = now(cylinder({lot("R-448A", "13.5lb")}));
    CHECK(fill.limit().rounded_down_to(lb("0.01lb").mass) == lb("41.83lb").mass);
    CHECK(fill.rule() == "80-percent-at-77F");
    CHECK(fill.net() == lb("13.5lb").mass);
    CHECK(fill.share().in_percent() == doctest::Approx(100 * 13.5 / 41.833).epsilon(0.0001));
    CHECK(fill.stop() == lb("69.30lb").mass);
    CHECK(fill.room() == lb("28.30lb").mass);
    CHECK(fill.gross_is_expected);
}

TEST_CASE("the limit stamped on it binds where it is the smallest") {
    auto c = cylinder({});
    c.facts.stamped_limit = lb("36lb").mass;
    CHECK(now(c).rule() == "stamped-limit");
    CHECK(now(c).stop() == lb("63.50lb").mass);
    c.facts.stamped_limit = lb("60lb").mass;
    CHECK(now(c).stop() == lb("69.30lb").mass);
}

TEST_CASE("mixed, partly known and unknown contents have lower limits than the one gas") {
    const auto one = now(cylinder({lot("R-448A", "5lb")})).limit();
    auto mixed = cylinder({lot("R-448A", "5lb")});
    mixed.state.mixed = true;
    CHECK(now(mixed).limit() < one);
    CHECK(now(cylinder({lot("R-404A", "2lb"), lot("R-448A", "5lb")})).limit() < one);
    CHECK(now(cylinder({lot("R-448A", "5lb"), lot("unknown", "1lb")})).rule() == "unknown-contents-65-percent");
    // two that have names, and a third that has none: the third decides as if it were alone
    CHECK(now(cylinder({lot("R-404A", "2lb"), lot("R-448A", "5lb"), lot("unknown", "1lb")})).rule() ==
          "unknown-contents-65-percent");
    CHECK(now(cylinder({lot("R-1299X", "1lb")})).rule() == "hydrocarbon-or-ammonia-35-percent");
}

TEST_CASE("a gas that the book has overdrawn was in there all the same") {
    CHECK(now(cylinder({lot("R-22", "-0.5lb"), lot("R-448A", "5lb")})).limit() <
          now(cylinder({lot("R-448A", "5lb")})).limit());
}

TEST_CASE("the mark reaches the filling density") {
    // 49 CFR 173.304a(a)(2), from memory: R-744 in a cylinder of 1800 psig 68 %
    auto c = cylinder({});
    c.facts.refrigerant = "R-744";
    c.facts.spec = "DOT-3AA1800";
    CHECK(now(c).rule() == "filling-density");
}

TEST_CASE("the scale's reading, its division and a hot place count where they are given") {
    const auto c = cylinder({lot("R-448A", "13.5lb")});
    CHECK(now(c, {.gross = lb("43lb").mass}).net() == lb("15.5lb").mass);
    CHECK_FALSE(now(c, {.gross = lb("43lb").mass}).gross_is_expected);
    CHECK(now(c, {.division = lb("0.5lb").mass}).stop() == lb("69lb").mass);
    CHECK(now(c, {.stored_at = Temperature::fahrenheit(120)}).stop() < now(c).stop());
    CHECK(now(c, {.gross = lb("75lb").mass}).draw_down == lb("75lb").mass - lb("69.30lb").mass);
    CHECK(now(c, {.gross = lb("27lb").mass}).share() == Ratio::of(Percent::whole(0)));
}

TEST_CASE("without a water capacity or a tare there is an error that says what to read") {
    auto c = cylinder({});
    c.facts.tare.reset();
    CHECK(fill_limit_now({}, c).error().name == "room-tare");
    c.facts.water_capacity.reset();
    CHECK(fill_limit_now({}, c).error().name == "room-water-capacity");
    CHECK(fill_limit_now({}, c).error().next.find("cylinder correct RC-01 --wc") != std::string::npos);
    c.in_register = false;
    CHECK(fill_limit_now({}, c).error().next.find("cylinder add RC-01 --wc") != std::string::npos);
}

TEST_CASE("the check refuses just beyond the weight that a program is told, whatever is in the cylinder") {
    for (const auto* before : {"R-404A", "R-22", "unknown"}) {
        Shop s;
        s.cylinder("RC-2",
                   {{"refrigerant", before == std::string("unknown") ? "" : before}, {"stamped_limit", "38lb"}});
        kinds::Opening k;
        k.cylinder = "RC-2";
        k.owner = "Oak Foods";
        k.refrigerant = before;
        k.gross = lb("20.00");
        s.take(s.event(k));
        CAPTURE(before);
        auto cylinder = CylinderNow{"RC-2", *cylinder_facts(s.reg, "RC-2", s.event(k).order()), s.states["RC-2"]};
        auto arriving = cylinder.state;  // as it will be: some of it is R-404A
        arriving.lots.push_back({{"R-404A", "Oak Foods", Condition::recovered}, lb("0.01lb").mass});
        arriving.mixed = arriving.mixed || before != std::string("R-404A");
        cylinder.state = arriving;
        const auto stop = now(cylinder, {.gross = lb("20lb").mass}).stop();
        const auto refused = [&](Mass gross) {
            kinds::Recover r;
            r.circuit = "OAK/RACK-B/4";
            r.into = "RC-2";
            r.weighing = {lb("20.00"), Weight{gross, pounds_text(gross)}, {}};
            for (const auto& f : s.judge(s.event(r)).findings)
                if (f.check == "fill-limit") return true;
            return false;
        };
        CHECK_FALSE(refused(stop));
        CHECK(refused(stop + lb("0.05lb").mass));
    }
}

}  // namespace fill_now_test
