// Random histories of one rack: what is open on each day, and until when, against the plain model.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <random>

#include "plain_clocks.hpp"
#include "runs.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/rules/clocks.hpp"
#include "tarebook/rules/rulebook.hpp"

using namespace tarebook;
using namespace tarebook::property;

namespace {

// Until 2024-01 no leap day comes between, so that a year is 365 days in both.
const Date day_zero = parse_date("2021-03-01").value();
constexpr int span = 700;

std::vector<PlainFact> drawn() {
    std::mt19937 dice(*rc::gen::resize(100, rc::gen::inRange(0U, 1'000'000'000U)));
    const auto roll = [&](int from, int to) { return std::uniform_int_distribution<int>(from, to)(dice); };
    const int count = *rc::gen::inRange(1, 40);
    std::vector<PlainFact> out;
    std::vector<int> days;
    for (int i = 0; i < count; ++i) days.push_back(roll(0, roll(0, 1) == 0 ? 120 : span - 1));
    std::sort(days.begin(), days.end());
    days.erase(std::unique(days.begin(), days.end()), days.end());
    using Kind = PlainFact::Kind;
    static constexpr Kind kinds[] = {Kind::added,    Kind::added,      Kind::found,   Kind::inspected,
                                     Kind::repaired, Kind::repaired,   Kind::initial, Kind::follow_up,
                                     Kind::planned,  Kind::mothballed, Kind::in_use,  Kind::extended};
    static const std::string grounds[] = {"parts", "parts", "other-law", "relief", "custom-built"};
    for (const int day : days) {
        PlainFact f;
        f.kind = kinds[roll(0, 11)];
        f.day = day;
        f.pounds = roll(0, 2) == 0 ? 1 : roll(1, 30);
        f.leak = roll(1, 2);
        f.good = roll(0, 3) > 0;
        f.by = roll(1, 700);
        f.exempt_replacement = roll(0, 2) == 0;
        f.ground = grounds[roll(0, 4)];
        f.of_work = roll(0, 1) == 0;
        if (f.of_work && f.ground == "custom-built") f.ground = "relief";
        if (!f.of_work && f.ground != "parts") f.ground = "other-law";
        if (f.kind == Kind::extended && roll(0, 1) == 0) f.by = roll(1, 200);
        out.push_back(f);
    }
    return out;
}

ApplianceHistory library_history(const std::vector<PlainFact>& facts) {
    using Kind = PlainFact::Kind;
    ApplianceHistory h;
    h.appliance = "OAK/RACK-A";
    h.subjects = {
        {day_zero, {Catalogue().find("R-22"), Mass::pounds(100), ApplianceCategory::commercial_refrigeration}}};
    h.full_charge = {{day_zero, Mass::pounds(100)}};
    for (std::size_t i = 0; i < facts.size(); ++i) {
        const auto& f = facts[i];
        const Date on = day_zero + std::chrono::days(f.day);
        const auto source = fmt::format("E{}", i + 1);
        if (f.kind == Kind::added) {
            h.additions.push_back({on, {}, {}, Mass::pounds(f.pounds), {}, {}, {source}});
            continue;
        }
        LeakEvent e;
        e.on = on;
        e.source = source;
        e.good = f.good;
        e.leak = fmt::format("L-{}", f.leak);
        e.kind = f.kind == Kind::found        ? LeakEvent::Kind::found
                 : f.kind == Kind::inspected  ? LeakEvent::Kind::inspected
                 : f.kind == Kind::repaired   ? LeakEvent::Kind::repaired
                 : f.kind == Kind::planned    ? LeakEvent::Kind::planned
                 : f.kind == Kind::mothballed ? LeakEvent::Kind::mothballed
                 : f.kind == Kind::in_use     ? LeakEvent::Kind::in_use
                 : f.kind == Kind::extended   ? LeakEvent::Kind::extended
                                              : LeakEvent::Kind::tested;
        e.of = f.of_work ? "plan-work" : "repair";
        e.ground = f.ground;
        e.follow_up = f.kind == Kind::follow_up;
        if (f.kind == Kind::planned || f.kind == Kind::extended) e.by = on + std::chrono::days(f.by);
        if (f.kind == Kind::planned && f.exempt_replacement) e.retires = true, e.to = Catalogue().find("R-744");
        h.events.push_back(e);
    }
    return h;
}

PlainOpen library_open(const std::vector<Clock>& clocks, int day) {
    PlainOpen out;
    for (const auto& c : clocks) {
        if (c.what == ClockKind::chronic_report || !c.open_on(day_zero + std::chrono::days(day))) continue;
        const auto name = std::string(text_of(c.what)) + (c.leak.empty() ? "" : " " + c.leak);
        if (out.contains(name)) return {{"two clocks of one name: " + name, day}};
        out[name] = c.due_on ? static_cast<int>((*c.due_on - day_zero).count()) : -1;
    }
    return out;
}

std::string words(const PlainOpen& open) {
    std::string out;
    for (const auto& [name, due] : open) out += fmt::format(" {} until {};", name, due);
    return out;
}

}  // namespace

TEST_CASE("clocks: what is open on every day agrees with the plain model on random histories") {
    std::size_t opened = 0;
    holds("clocks against the plain model", 2000, [&] {
        const auto facts = drawn();
        const auto plain = plain_clocks(facts, span);
        const auto clocks = appliance_clocks(Rulebook().default_packs(), library_history(facts), day_zero);
        opened += clocks.size();
        std::string told;
        for (const auto& f : facts)
            told += fmt::format(" {}:{}({} lb, L-{}, {}, {})", f.day, static_cast<int>(f.kind), f.pounds, f.leak,
                                f.good, f.by);
        for (int day = 0; day < span; ++day) {
            const auto library = library_open(clocks, day);
            if (library != plain[static_cast<std::size_t>(day)])
                RC_FAIL(fmt::format("day {}: library{} plain{} facts{}", day, words(library),
                                    words(plain[static_cast<std::size_t>(day)]), told));
        }
    });
    if (usual_runs()) CHECK(opened > 100);
}

TEST_CASE("clocks: the last day in test agrees with the plain table, whatever mark, basis and month") {
    const std::vector<std::string> types = {"4B", "4BA", "4BW", "4E", "4BET", "4AA", "3A", "3AA", "3AL"};
    const std::vector<std::string> bases = {"", "clean-service", "clean-service-proof", "star", "ammonia"};
    const auto mark = [](const std::string& type) { return type == "4BET" ? "DOT-4B240ET" : "DOT-" + type + "400"; };
    for (const auto& type : types)
        for (const auto& basis : bases)
            for (int month = 1; month <= 12; ++month) {
                CylinderHistory c;
                c.cylinder = "RC-1";
                c.spec = mark(type);
                c.basis = basis;
                c.tested = std::chrono::year(2019) / std::chrono::month(static_cast<unsigned>(month));
                const auto clocks = cylinder_clocks(Rulebook().default_packs(), c, day_zero);
                REQUIRE(clocks.size() == 1);
                const auto plain = plain_last_day_in_test(type, basis, 2019, month);
                CAPTURE(type);
                CAPTURE(basis);
                CHECK(date_text(clocks[0].due_on.value()) ==
                      fmt::format("{:04}-{:02}-{:02}", plain.year, plain.month, plain.day));
            }
}

TEST_CASE("clocks: a detection system's audit agrees with the plain model on random histories") {
    holds("audits against the plain model", 500, [&] {
        auto h = library_history({});
        h.detection_system = true;
        const int since = *rc::gen::inRange(0, 200);
        h.detection_since = day_zero + std::chrono::days(since);
        auto audits = *rc::gen::container<std::vector<int>>(rc::gen::inRange(201, span));
        std::sort(audits.begin(), audits.end());
        for (const int day : audits) {
            LeakEvent e;
            e.kind = LeakEvent::Kind::audited;
            e.on = day_zero + std::chrono::days(day);
            e.good = true;
            h.events.push_back(e);
        }
        const int today = *rc::gen::inRange(201, span);
        const auto clocks = appliance_clocks(Rulebook().default_packs(), h, day_zero + std::chrono::days(today));
        RC_ASSERT(clocks.size() == 1U);
        RC_ASSERT(clocks[0].what == ClockKind::detection_audit);
        RC_ASSERT((clocks[0].due_on.value() - day_zero).count() == plain_audit_due(since, audits, today));
    });
}
