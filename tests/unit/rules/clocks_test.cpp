// Each clock at the day it opens, the day before it is late, and what closes it. Figures of days: 40 CFR 82.157
// and 84.106 as the packs carry them (30 days, 10 days, quarters, 125 %, 1 March), Regulation (EU) 2024/573 Art. 5.
#include <doctest/doctest.h>

#include <algorithm>

#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/rules/clocks.hpp"
#include "tarebook/rules/rulebook.hpp"

using namespace tarebook;

namespace clocks_test {

namespace {

using Kind = LeakEvent::Kind;

Date on(const char* text) {
    return parse_date(text).value();
}
LeakAddition added(const char* day, int pounds, const char* event) {
    LeakAddition out;
    out.on = on(day);
    out.mass = Mass::pounds(pounds);
    out.sources = {event};
    return out;
}
LeakEvent event(Kind kind, const char* day, const char* source, const char* leak = "", bool good = true,
                bool follow_up = false) {
    LeakEvent out;
    out.kind = kind;
    out.on = on(day);
    out.source = source;
    out.leak = leak;
    out.good = good;
    out.follow_up = follow_up;
    return out;
}
LeakEvent initial(const char* day, const char* source, const char* leak, bool good = true) {
    return event(Kind::tested, day, source, leak, good);
}
LeakEvent follow_up(const char* day, const char* source, const char* leak, bool good = true) {
    return event(Kind::tested, day, source, leak, good, true);
}

// A rack of R-22 for a store: 20 % is its threshold, and under 500 lb it is to be looked over once a year.
ApplianceHistory rack(int pounds = 100, const char* gas = "R-22") {
    ApplianceHistory h;
    h.appliance = "OAK/RACK-A";
    h.subjects = {
        {on("2019-01-01"), {Catalogue().find(gas), Mass::pounds(pounds), ApplianceCategory::commercial_refrigeration}}};
    h.on_record_since = on("2019-01-01");
    h.full_charge = {{on("2019-01-01"), Mass::pounds(pounds)}};
    return h;
}
// 30 lb within 30 days of the addition before: far over 20 %.
ApplianceHistory over_threshold() {
    auto h = rack();
    h.additions = {added("2026-01-01", 1, "E10"), added("2026-01-31", 30, "E11")};
    h.events = {event(Kind::found, "2026-02-01", "E12", "L-1")};
    return h;
}
std::vector<Clock> clocks(const ApplianceHistory& h, const char* day = "2026-06-01") {
    return appliance_clocks(Rulebook().default_packs(), h, on(day));
}
const Clock* find(const std::vector<Clock>& all, ClockKind what, const std::string& leak = "") {
    for (const auto& c : all)
        if (c.what == what && c.leak == leak && !c.closed_on) return &c;
    for (const auto& c : all)
        if (c.what == what && c.leak == leak) return &c;
    return nullptr;
}
bool has_open(const std::vector<Clock>& all, ClockKind what, const char* day, const std::string& leak = "") {
    return std::any_of(all.begin(), all.end(),
                       [&](const Clock& c) { return c.what == what && c.leak == leak && c.open_on(on(day)); });
}
std::string due(const std::vector<Clock>& all, ClockKind what, const std::string& leak = "") {
    const auto* c = find(all, what, leak);
    return c && c->due_on ? date_text(*c->due_on) : "none";
}

}  // namespace

TEST_CASE("repair: an addition over the threshold opens it for 30 days; one at the threshold opens nothing") {
    const auto all = clocks(over_threshold());
    const auto* repair = find(all, ClockKind::repair);
    REQUIRE(repair);
    CHECK(date_text(*repair->due_on) == "2026-03-02");
    CHECK(repair->opened_by == "E11");
    CHECK(repair->id() == "due/us-82f/repair/OAK/RACK-A/E11");
    CHECK(repair->rule->rule->clause == "40 CFR 82.157(d)");
    CHECK_FALSE(repair->open_on(on("2026-01-30")));
    CHECK(repair->open_on(on("2026-01-31")));
    CHECK_FALSE(repair->late_on(on("2026-03-02")));
    CHECK(repair->late_on(on("2026-03-03")));

    auto exactly = rack();
    exactly.additions = {added("2025-01-01", 1, "E10"), added("2026-01-01", 20, "E11")};  // 20 lb, 365 days: 20 %
    CHECK(clocks(exactly).empty());
}

TEST_CASE("repair: a second addition over the threshold leaves the first day as it is") {
    auto h = over_threshold();
    h.additions.push_back(added("2026-02-20", 30, "E13"));
    const auto all = clocks(h);
    CHECK(due(all, ClockKind::repair) == "2026-03-02");
    CHECK(std::count_if(all.begin(), all.end(), [](const Clock& c) { return c.what == ClockKind::repair; }) == 1);
}

TEST_CASE("repair: it is closed when each leak on record is repaired, and tests are opened by it") {
    auto h = over_threshold();
    h.events.push_back(event(Kind::found, "2026-02-02", "E13", "L-2"));
    h.events.push_back(event(Kind::repaired, "2026-02-03", "E14", "L-1"));
    auto all = clocks(h);
    CHECK(has_open(all, ClockKind::repair, "2026-02-10"));
    CHECK(due(all, ClockKind::initial_test, "L-1") == "2026-03-02");  // inside the time for the repair
    h.events.push_back(event(Kind::repaired, "2026-02-12", "E15", "L-2"));
    all = clocks(h);
    CHECK_FALSE(has_open(all, ClockKind::repair, "2026-02-12"));
    CHECK(has_open(all, ClockKind::initial_test, "2026-02-12", "L-2"));
    CHECK(find(all, ClockKind::repair)->closed_by == "E15");
}

TEST_CASE("tests: a passed initial one gives ten days for the follow-up; a passed follow-up ends it") {
    auto h = over_threshold();
    h.events.push_back(event(Kind::repaired, "2026-02-10", "E13", "L-1"));
    h.events.push_back(initial("2026-02-20", "E14", "L-1"));
    auto all = clocks(h);
    CHECK_FALSE(has_open(all, ClockKind::initial_test, "2026-02-20", "L-1"));
    CHECK(due(all, ClockKind::follow_up_test, "L-1") == "2026-03-02");  // 40 CFR 82.157(e)(2)
    CHECK(has_open(all, ClockKind::follow_up_test, "2026-03-05", "L-1"));
    h.events.push_back(follow_up("2026-02-25", "E15", "L-1"));
    all = clocks(h);
    CHECK_FALSE(has_open(all, ClockKind::follow_up_test, "2026-03-05", "L-1"));
    CHECK_FALSE(has_open(all, ClockKind::plan, "2026-06-01"));
}

TEST_CASE("tests: a failed one reopens the repair with its first day, and the time for a plan begins") {
    auto h = over_threshold();
    h.events.push_back(event(Kind::repaired, "2026-02-10", "E13", "L-1"));
    h.events.push_back(initial("2026-02-20", "E14", "L-1", false));
    const auto all = clocks(h);
    CHECK(has_open(all, ClockKind::repair, "2026-02-20"));
    CHECK(due(all, ClockKind::repair) == "2026-03-02");
    CHECK(due(all, ClockKind::plan) == "2026-03-22");
}

TEST_CASE("plan: the day after the time for the repair has passed it is open, with thirty days") {
    const auto all = clocks(over_threshold());
    CHECK_FALSE(has_open(all, ClockKind::plan, "2026-03-02"));
    CHECK(has_open(all, ClockKind::plan, "2026-03-03"));
    CHECK(due(all, ClockKind::plan) == "2026-04-01");
}

TEST_CASE("plan: a repaired leak whose initial test was never made asks for one, too") {
    auto h = over_threshold();
    h.events.push_back(event(Kind::repaired, "2026-02-10", "E13", "L-1"));
    CHECK(has_open(clocks(h), ClockKind::plan, "2026-03-03"));
}

TEST_CASE("plan: a plan on record closes it, and its own day counts where it is the earlier one") {
    auto h = over_threshold();
    auto plan = event(Kind::planned, "2026-03-10", "E13");
    plan.text = "retrofit";
    plan.by = on("2026-12-31");
    h.events.push_back(plan);
    auto all = clocks(h);
    CHECK_FALSE(has_open(all, ClockKind::plan, "2026-03-10"));
    CHECK(due(all, ClockKind::plan_work) == "2026-12-31");
    h.events.back().by = on("2028-01-01");
    CHECK(due(clocks(h), ClockKind::plan_work) == "2027-03-10");  // one year at most
    h.events.push_back(event(Kind::converted, "2026-11-01", "E14"));
    all = clocks(h);
    CHECK_FALSE(has_open(all, ClockKind::plan_work, "2026-11-01"));
    CHECK_FALSE(has_open(all, ClockKind::repair, "2026-11-01"));
}

// 40 CFR 82.157(h)(1)(ii), (iii); (c)(1); (h)(5)(i)
TEST_CASE(
    "a plan: due with the repair where nothing was done, and again after repair and tests; in time it lifts the "
    "repair") {
    auto idle = over_threshold();
    idle.events.clear();
    CHECK(due(clocks(idle), ClockKind::plan) == "2026-03-02");
    CHECK(due(clocks(over_threshold()), ClockKind::plan) ==
          "2026-04-01");  // a leak was found: 30 days after the repair
    auto planned = event(Kind::planned, "2026-03-02", "E13");
    planned.by = on("2028-01-01");
    idle.events = {planned};
    CHECK_FALSE(has_open(clocks(idle), ClockKind::repair, "2026-03-02"));
    CHECK(due(clocks(idle), ClockKind::plan_work) == "2027-03-02");
    idle.events[0].on = on("2026-12-29");  // late: 13 months after the day on which it was due
    CHECK(has_open(clocks(idle), ClockKind::repair, "2026-12-30"));
    CHECK(due(clocks(idle), ClockKind::plan_work) == "2027-04-02");

    auto again = over_threshold();
    again.events = {event(Kind::found, "2026-02-01", "E12", "L-1"), event(Kind::repaired, "2026-02-05", "E13", "L-1"),
                    initial("2026-02-05", "E14", "L-1"), follow_up("2026-02-10", "E15", "L-1")};
    again.additions.push_back(added("2026-05-01", 30, "E16"));
    CHECK(due(clocks(again), ClockKind::plan) == "2026-05-31");
    again.additions.insert(again.additions.end() - 1, added("2026-03-10", 1, "E17"));  // within the threshold
    CHECK_FALSE(has_open(clocks(again), ClockKind::plan, "2026-05-01"));
}

// 40 CFR 82.157(g)(4), 17 CCR 95385(a) to (c)
TEST_CASE("inspections: none where a detection system watches it") {
    auto h = over_threshold();
    h.detection_system = true;
    CHECK_FALSE(find(clocks(h), ClockKind::inspection));
    CHECK(find(clocks(h), ClockKind::repair));
    const RulePack* const california[] = {Rulebook().find("us-ca")};
    auto rack_in_california = rack(500, "R-404A");
    CHECK(find(appliance_clocks(california, rack_in_california, on("2026-06-01")), ClockKind::inspection));
    rack_in_california.detection_system = true;
    CHECK_FALSE(find(appliance_clocks(california, rack_in_california, on("2026-06-01")), ClockKind::inspection));
}

// 17 CCR 95388, from memory: by 1 March about the year before, for what was on record then.
TEST_CASE("annual report: each year by 1 March, from the first new year on") {
    const RulePack* const california[] = {Rulebook().find("us-ca")};
    auto h = rack(500, "R-404A");
    h.on_record_since = on("2025-11-03");
    CHECK_FALSE(find(appliance_clocks(california, h, on("2025-12-31")), ClockKind::annual_report));
    const auto first = appliance_clocks(california, h, on("2026-01-01"));
    CHECK(due(first, ClockKind::annual_report, "2025") == "2026-03-01");
    CHECK(due(appliance_clocks(california, h, on("2027-05-01")), ClockKind::annual_report, "2026") == "2027-03-01");
}

// 40 CFR 84.108: 1,500 lb read in print, the rest from memory.
TEST_CASE("detection system: thirty days after an installation from 2026 on, 2027-01-01 for older equipment") {
    auto h = rack(1500, "R-448A");
    h.installed = on("2026-02-10");
    CHECK(due(appliance_clocks(Rulebook().default_packs(), h, on("2026-03-01")), ClockKind::detection_system) ==
          "2026-03-12");
    h.installed = on("2017-01-01");
    CHECK(due(appliance_clocks(Rulebook().default_packs(), h, on("2026-03-01")), ClockKind::detection_system) ==
          "2027-01-01");
    h.installed = on("2016-12-31");
    CHECK_FALSE(find(appliance_clocks(Rulebook().default_packs(), h, on("2026-03-01")), ClockKind::detection_system));
    h.installed.reset();
    CHECK(due(appliance_clocks(Rulebook().default_packs(), h, on("2026-03-01")), ClockKind::detection_system) ==
          "2027-01-01");
}

TEST_CASE("what is out for a repair is asked about after 30 days, until it is back") {
    auto h = rack();
    h.taken_out = {{on("2026-02-02"), "3", Mass::pounds(25), Mass::pounds(25), "E5", {}, {}},
                   {on("2026-02-03"), {}, Mass::pounds(5), Mass(), "E6", on("2026-02-20"), "E8"}};
    const auto all = clocks(h);
    CHECK_FALSE(has_open(all, ClockKind::put_back, "2026-03-03"));
    CHECK(has_open(all, ClockKind::put_back, "2026-03-04"));
    CHECK(find(all, ClockKind::put_back)->id() == "due/put-back/OAK/RACK-A/E5");
    CHECK(std::count_if(all.begin(), all.end(), [](const Clock& c) { return c.what == ClockKind::put_back; }) == 1);
}

TEST_CASE(
    "inspections: once in each calendar year under 500 lb until one clean year, quarterly from 500 lb until four "
    "quarters") {
    auto h = over_threshold();
    CHECK(due(clocks(h), ClockKind::inspection) == "2026-12-31");
    h.events.push_back(event(Kind::inspected, "2026-08-01", "E13"));
    CHECK_FALSE(has_open(clocks(h), ClockKind::inspection, "2027-03-01"));  // the next would lie after the release

    auto large = rack(500);
    large.additions = {added("2026-01-01", 1, "E10"), added("2026-01-31", 200, "E11")};
    CHECK(due(clocks(large), ClockKind::inspection) == "2026-04-30");  // three months, cut to the month's end
    large.events = {event(Kind::inspected, "2026-04-15", "E12"), event(Kind::inspected, "2026-07-10", "E13"),
                    event(Kind::inspected, "2026-10-05", "E14")};
    CHECK(due(clocks(large), ClockKind::inspection) == "2027-01-05");
    large.events.push_back(event(Kind::inspected, "2027-01-04", "E15"));
    CHECK_FALSE(has_open(clocks(large), ClockKind::inspection, "2027-06-01"));  // released on 2027-01-31
    // an inspection that was not made stays due, however long ago
    auto forgotten = rack(500);
    forgotten.additions = {added("2020-05-01", 1, "E10"), added("2020-05-31", 200, "E11")};
    CHECK(has_open(clocks(forgotten), ClockKind::inspection, "2026-01-01"));
}

TEST_CASE("125 %: reached in a calendar year, the report is due on 1 March; a pound less opens nothing") {
    auto h = rack();
    h.additions = {added("2025-12-31", 120, "E9"), added("2026-03-01", 60, "E10"), added("2026-09-01", 65, "E11")};
    auto all = clocks(h, "2026-12-01");
    const auto* report = find(all, ClockKind::chronic_report);
    REQUIRE(report);
    CHECK(date_text(*report->due_on) == "2027-03-01");
    CHECK(report->opened_by == "E11");
    h.additions.back().mass = Mass::pounds(64);
    all = clocks(h, "2026-12-01");
    CHECK_FALSE(find(all, ClockKind::chronic_report));
}

TEST_CASE("by the date of the event: R-404A was under 82.157 until April 2020 and is under 84.106 from 2026") {
    const auto repair_of = [](const char* before, const char* day) {
        auto h = rack(100, "R-404A");
        h.additions = {added(before, 1, "E1"), added(day, 30, "E2")};
        const auto all = clocks(h);
        const auto* c = find(all, ClockKind::repair);
        return c ? c->rule->rule->clause : std::string("none");
    };
    CHECK(repair_of("2020-03-20", "2020-04-09") == "40 CFR 82.157(d)");
    CHECK(repair_of("2020-03-20", "2020-04-10") == "none");
    CHECK(repair_of("2025-12-20", "2025-12-31") == "none");
    CHECK(repair_of("2025-12-20", "2026-01-01") == "40 CFR 84.106(d)");
}

TEST_CASE("EU: checks by the charge, halved with a detection system, and a re-check within a month of a repair") {
    auto h = rack(100, "R-404A");  // 45.4 kg: 178 t CO2e
    h.on_record_since = on("2026-01-15");
    const RulePack* eu[] = {Rulebook().find("eu-2024-573")};
    auto all = appliance_clocks(eu, h, on("2026-06-01"));
    CHECK(due(all, ClockKind::leak_check) == "2026-07-15");
    h.detection_system = true;
    CHECK(due(appliance_clocks(eu, h, on("2026-06-01")), ClockKind::leak_check) == "2027-01-15");
    h.events = {event(Kind::inspected, "2026-03-31", "E3"), event(Kind::found, "2026-03-31", "E4", "L-1"),
                event(Kind::repaired, "2026-03-31", "E5", "L-1")};
    all = appliance_clocks(eu, h, on("2026-06-01"));
    CHECK(due(all, ClockKind::leak_check) == "2027-03-31");
    CHECK(due(all, ClockKind::follow_up_test, "L-1") == "2026-04-30");
    h.subjects[0].subject.full_charge = Mass::pounds(2);  // 3.6 t: no check, so no re-check either
    CHECK(appliance_clocks(eu, h, on("2026-06-01")).empty());
}

TEST_CASE("California: fourteen days from a leak, whatever the rate, and inspections all the time") {
    auto h = rack(300);
    h.events = {event(Kind::found, "2026-02-01", "E4", "L-1")};
    const RulePack* ca[] = {Rulebook().find("us-ca")};
    auto all = appliance_clocks(ca, h, on("2026-06-01"));
    CHECK(due(all, ClockKind::repair, "L-1") == "2026-02-15");
    CHECK(due(all, ClockKind::inspection) == "2019-04-01");
    h.events.push_back(event(Kind::repaired, "2026-02-15", "E5", "L-1"));
    h.events.push_back(event(Kind::inspected, "2026-05-01", "E6"));
    all = appliance_clocks(ca, h, on("2026-06-01"));
    CHECK_FALSE(has_open(all, ClockKind::repair, "2026-02-15", "L-1"));
    CHECK(due(all, ClockKind::inspection) == "2026-08-01");
}

TEST_CASE("all repaired: the window of a rolling average begins after the last open leak has passed") {
    std::vector<LeakEvent> events = {event(Kind::found, "2026-01-01", "E1", "L-1"),
                                     event(Kind::found, "2026-01-01", "E2", "L-2"),
                                     follow_up("2026-01-10", "E3", "L-1")};
    CHECK(all_repaired_days(events).empty());
    events.push_back(follow_up("2026-01-12", "E4", "L-2"));
    CHECK(all_repaired_days(events) == std::vector<Date>{on("2026-01-12")});
}

TEST_CASE("cylinders: due on the last day of the month; without a date: read the collar; a jug has none") {
    CylinderHistory c;
    c.cylinder = "RC-01";
    c.spec = "DOT-4BA400";
    c.tested = parse_month("2024-02").value();
    auto all = cylinder_clocks(Rulebook().default_packs(), c, on("2026-06-01"));
    REQUIRE(all.size() == 1);
    CHECK(date_text(*all[0].due_on) == "2029-02-28");
    c.tested.reset();
    all = cylinder_clocks(Rulebook().default_packs(), c, on("2026-06-01"));
    REQUIRE(all.size() == 1);
    CHECK_FALSE(all[0].due_on);
    CHECK(all[0].text.find("read the collar") == 0);
    c.in_service = false;
    CHECK(cylinder_clocks(Rulebook().default_packs(), c, on("2026-06-01")).empty());

    CylinderHistory jug;
    jug.cylinder = "J-101";
    jug.spec = "DOT-39";
    jug.empty_with_heel = true;
    jug.emptied_on = on("2027-12-20");
    CHECK(cylinder_clocks(Rulebook().default_packs(), jug, on("2027-12-31")).empty());
    all = cylinder_clocks(Rulebook().default_packs(), jug, on("2028-01-01"));
    REQUIRE(all.size() == 1);
    CHECK(all[0].what == ClockKind::heel);
    CHECK(all[0].rule->rule->clause == "40 CFR 84.116");
}

// 40 CFR 82.152 and 82.157 (from memory): while it is mothballed the time stands still.
TEST_CASE("clocks: mothballing suspends a repair, and its time goes on afterwards") {
    auto h = over_threshold();
    h.events.push_back(event(Kind::mothballed, "2026-02-10", "E13"));
    h.events.push_back(event(Kind::in_use, "2026-05-01", "E14"));
    const auto all = clocks(h);
    // 30 days from 31 January are 2 March: 20 days are left on 10 February
    std::vector<std::string> seen;
    for (const char* day : {"2026-02-09", "2026-02-10", "2026-04-30", "2026-05-01", "2026-05-22"})
        for (const auto& c : all)
            if (c.what == ClockKind::repair && c.open_on(on(day)))
                seen.push_back(c.due_on ? date_text(*c.due_on) : "suspended");
    CHECK(seen == std::vector<std::string>{"2026-03-02", "suspended", "suspended", "2026-05-21", "2026-05-21"});
    CHECK_FALSE(has_open(all, ClockKind::plan, "2026-05-21"));
    CHECK(has_open(all, ClockKind::plan, "2026-05-22"));
    for (const auto& c : all)
        if (c.what == ClockKind::repair) CHECK(c.id() == "due/us-82f/repair/OAK/RACK-A/E11");
}
TEST_CASE("clocks: an addition ends mothballing, and what was late before stays late") {
    auto h = over_threshold();
    h.events.push_back(event(Kind::mothballed, "2026-03-03", "E13"));
    h.additions.push_back(added("2026-03-20", 1, "E14"));
    const auto all = clocks(h);
    CHECK(due(all, ClockKind::repair) == "2026-03-02");
    CHECK(has_open(all, ClockKind::repair, "2026-03-10"));
    // asked for since 3 March, 30 days from the last day of the repair, since a leak was found: 1 April, and 17 days
    // more
    CHECK(due(all, ClockKind::plan) == "2026-04-18");
    CHECK(due(all, ClockKind::inspection) == "2026-12-31");
}
TEST_CASE("clocks: what opens while it is mothballed has its whole time afterwards") {
    auto h = over_threshold();
    h.events.push_back(event(Kind::mothballed, "2026-02-10", "E13"));
    h.events.push_back(event(Kind::repaired, "2026-02-20", "E14", "L-1"));
    h.events.push_back(initial("2026-02-21", "E15", "L-1"));
    h.events.push_back(event(Kind::in_use, "2026-03-10", "E16"));
    CHECK(due(clocks(h), ClockKind::follow_up_test, "L-1") == "2026-03-20");
}
TEST_CASE("clocks: a pack without a rule of mothballing suspends nothing") {
    auto h = over_threshold();
    h.events.push_back(event(Kind::mothballed, "2026-02-10", "E13"));
    h.subjects[0].subject.full_charge = Mass::pounds(100);
    const RulePack* california[] = {Rulebook().find("us-ca")};
    for (const auto& c : appliance_clocks(california, h, on("2026-06-01"))) CHECK(c.due_on.has_value());
}
// 40 CFR 82.157(d), read: 120 days; (f), from memory: 180, or 270 with a shutdown. From 31 January: 31 May, 30 July, 28
// October.
TEST_CASE("clocks: more time for a repair is counted from its first day, and only where it is on record in time") {
    const auto with = [](const char* day, const char* ground, const char* until, bool industrial) {
        auto h = over_threshold();
        if (industrial) h.subjects[0].subject.category = ApplianceCategory::industrial_process;
        if (industrial) h.additions[1].mass = Mass::pounds(40);
        auto e = event(Kind::extended, day, "E13");
        e.of = "repair";
        e.ground = ground;
        if (*until) e.by = on(until);
        h.events.push_back(e);
        return h;
    };
    const auto repair = [](const ApplianceHistory& h) { return due(clocks(h), ClockKind::repair); };
    CHECK(repair(with("2026-02-10", "process-shutdown", "", true)) == "2026-05-31");
    CHECK(repair(with("2026-02-10", "process-shutdown", "", false)) == "2026-03-02");
    CHECK(repair(with("2026-02-10", "parts", "2027-01-01", false)) == "2026-07-30");
    CHECK(repair(with("2026-02-10", "parts", "2026-04-01", false)) == "2026-04-01");
    CHECK(repair(with("2026-03-02", "parts", "2026-04-01", false)) == "2026-04-01");
    CHECK(repair(with("2026-03-03", "parts", "2026-04-01", false)) == "2026-03-02");
    CHECK(repair(with("2026-02-10", "other-law", "2027-01-01", false)) == "2027-01-01");
    CHECK(repair(with("2026-02-10", "parts", "2026-02-20", false)) == "2026-03-02");  // it never shortens
    auto both = with("2026-02-10", "process-shutdown", "", true);
    auto parts = event(Kind::extended, "2026-05-31", "E14");
    parts.of = "repair";
    parts.ground = "parts";
    parts.by = on("2027-01-01");
    both.events.push_back(parts);
    CHECK(repair(both) == "2026-10-28");
    CHECK_FALSE(has_open(clocks(both), ClockKind::plan, "2026-10-28"));
    CHECK(has_open(clocks(both), ClockKind::plan, "2026-10-29"));
}
// 40 CFR 82.157(h), from memory: asked within 180 days, repaired within a year of the plan.
TEST_CASE("clocks: relief from a plan counts up to the 180th day") {
    const auto with = [](const char* day) {
        auto h = over_threshold();
        auto plan = event(Kind::planned, "2026-02-05", "E13");
        plan.by = on("2026-06-01");
        auto relief = event(Kind::extended, day, "E14");
        relief.of = "plan-work";
        relief.ground = "relief";
        h.events.push_back(plan);
        h.events.push_back(relief);
        return due(clocks(h), ClockKind::plan_work);
    };
    CHECK(with("2026-08-04") == "2027-02-05");
    CHECK(with("2026-08-05") == "2026-06-01");
}

}  // namespace clocks_test
