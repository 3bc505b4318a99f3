#include "plain_clocks.hpp"

#include <algorithm>
#include <chrono>
#include <iterator>

namespace tarebook::property {
namespace {

// Day 0 is 2021-03-01.
int last_day_of_year(int day) {
    int end = 305;  // 2021-12-31
    while (end < day) end += 365;
    return end;
}
int months_after(int day, int count) {
    using namespace std::chrono;
    const sys_days zero = 2021y / March / 1;
    auto then = year_month_day(zero + days(day)) + months(count);
    if (!then.ok()) then = then.year() / then.month() / last;
    return static_cast<int>((sys_days(then) - zero).count());
}

struct Desk {
    PlainOpen open;
    std::set<int> known, unrepaired, unproved;
    bool episode = false, plan_made = false, plan_asked = false;
    bool plan_in_time = false, something_done = false, just_proved = false;
    int over_day = 0, repair_day = 0, release_day = -1, last_added = -1, plan_day = 0;
    // 40 CFR 82.152, 82.157 (from memory): while it is mothballed the time of what is open stands still.
    bool mothballed = false, was_late = false;
    int mothball_day = 0;
    std::set<std::string> held;

    [[nodiscard]] PlainOpen shown() const {
        auto out = open;
        for (auto& [name, due] : out)
            if (held.contains(name)) due = -1;
        return out;
    }
    void hold(int today) {
        for (auto it = held.begin(); it != held.end();) it = open.contains(*it) ? std::next(it) : held.erase(it);
        if (!mothballed) return;
        for (const auto& [name, due] : open)
            if (due >= today) held.insert(name);
    }
    void in_use(int today) {
        if (mothballed && held.contains("inspection"))
            open["inspection"] = std::max(open["inspection"], last_day_of_year(today));
        mothballed = false;
        held.clear();
    }
    void extended(const PlainFact& f) {
        if (f.of_work) {
            if (!open.contains("plan-work")) return;
            auto& due = open["plan-work"];
            if (f.ground == "relief") {  // (h)(5), from memory: asked within 180 days, repaired within a year
                if (f.day <= plan_day + 180) due = plan_day + 365;
            } else if (f.ground == "other-law" && f.day <= due) {
                due = std::max(due, f.day + f.by);
            }
            return;
        }
        if (!episode || f.day > repair_day || f.ground == "relief") return;
        int until = f.day + f.by;
        if (f.ground == "parts") until = std::min(until, over_day + 180);  // (f), from memory
        if (until <= repair_day) return;
        for (auto& [name, due] : open)
            if (due == repair_day && (name == "repair" || name.starts_with("initial-test"))) due = until;
        repair_day = until;
        something_done = true;
    }

    void morning(int today) {
        if (mothballed && today > mothball_day) {
            for (const auto& name : held)
                if (name != "inspection") ++open[name];  // what is asked for once in a year keeps its year
            if (episode && !was_late) ++repair_day, ++over_day;
            ++release_day, ++plan_day;
        }
        watch(today);
    }
    void watch(int today) {
        if (!episode || plan_made || plan_asked || today <= repair_day) return;
        bool behind = open.contains("repair");
        for (const auto& [name, day] : open) behind = behind || name.starts_with("initial-test");
        if (!behind) return;
        open["plan"] = something_done ? repair_day + 30 : over_day + 30;
        plan_asked = true;
    }
    void added(const PlainFact& f) {
        const int between = last_added < 0 ? 365 : std::min(f.day - last_added, 365);
        last_added = f.day;
        const bool again = just_proved;
        just_proved = false;
        if (f.pounds * 365 <= 20 * between) return;  // of 100 lb, 20 %: strictly over
        if (!episode) plan_asked = plan_made = plan_in_time = false;
        if (!episode || (!plan_in_time && !open.contains("repair"))) {
            episode = true;
            something_done = false;
            over_day = f.day;
            open["repair"] = repair_day = f.day + 30;
        }
        if (again && !open.contains("plan")) open["plan"] = f.day + 30, plan_asked = true;
        release_day = f.day + 365;
        if (!open.contains("inspection")) open["inspection"] = last_day_of_year(f.day);
    }
    void repaired(const PlainFact& f) {
        known.insert(f.leak), unproved.insert(f.leak), unrepaired.erase(f.leak);
        if (!episode) return;
        if (unrepaired.empty()) open.erase("repair");
        open.emplace("initial-test L-" + std::to_string(f.leak), repair_day);
    }
    void failed(const PlainFact& f) {
        if (!known.contains(f.leak)) return;
        unrepaired.insert(f.leak), unproved.insert(f.leak);
        if (!episode) return;
        open.erase("initial-test L-" + std::to_string(f.leak));
        if (!plan_in_time) open.emplace("repair", repair_day);
        if (!plan_made && !open.contains("plan")) open["plan"] = f.day + 30, plan_asked = true;
    }
    void initial(const PlainFact& f) {
        if (!f.good) return failed(f);
        if (open.erase("initial-test L-" + std::to_string(f.leak)) > 0)
            open.emplace("follow-up-test L-" + std::to_string(f.leak), f.day + 10);
    }
    void follow_up(const PlainFact& f) {
        open.erase("follow-up-test L-" + std::to_string(f.leak));
        if (!f.good) return failed(f);
        if (unrepaired.contains(f.leak)) return end_if_proved();
        unproved.erase(f.leak);
        end_if_proved();
    }
    void end_if_proved() {
        if (!episode || !unproved.empty() || open.contains("repair")) return;
        open.erase("plan"), open.erase("plan-work");
        episode = plan_made = plan_asked = plan_in_time = false;
        just_proved = true;
    }
    void take(const PlainFact& f) {
        using Kind = PlainFact::Kind;
        if (f.kind == Kind::added) in_use(f.day), added(f);
        if (f.kind == Kind::in_use) return in_use(f.day);
        if (f.kind == Kind::extended) return extended(f);
        if (f.kind == Kind::mothballed) {
            if (!mothballed) mothballed = true, mothball_day = f.day, was_late = episode && repair_day < f.day;
            return;
        }
        if (f.kind != Kind::added && f.kind != Kind::planned) something_done = true;
        if (f.kind == Kind::found) known.insert(f.leak), unrepaired.insert(f.leak), unproved.insert(f.leak);
        if (f.kind == Kind::inspected && open.erase("inspection") > 0) {
            const int next = last_day_of_year(f.day) + 365;
            if (next <= release_day) open["inspection"] = next;
        }
        if (f.kind == Kind::repaired) repaired(f);
        if (f.kind == Kind::initial) initial(f);
        if (f.kind == Kind::follow_up) follow_up(f);
        if (f.kind == Kind::planned && episode) {
            const int plan_due = open.contains("plan") ? open["plan"] : over_day + 30;
            open.erase("plan");
            plan_made = true;
            plan_day = f.day;
            if (f.day <= repair_day) plan_in_time = true, open.erase("repair");
            // (h)(5)(i): a year, at most 13 months from when the plan was due; (i)(1): 18 months to retire
            const int latest =
                f.exempt_replacement ? months_after(f.day, 18) : std::min(f.day + 365, months_after(plan_due, 13));
            open.emplace("plan-work", std::min(f.day + f.by, latest));
        }
    }
};

}  // namespace

// 180.209(a): five years. (e): of a 4B, 4BA, 4BW or 4E in clean service twelve, after a proof-pressure test ten.
// (b)(1): of a 3A or 3AA with a star ten. (h): of a 4AA for ammonia alone ten. 3AL is doubtful and keeps five.
PlainDay plain_last_day_in_test(const std::string& type, const std::string& basis, int tested_year, int tested_month) {
    int years = 5;
    const bool of_e = type == "4B" || type == "4BA" || type == "4BW" || type == "4E";
    if (of_e && basis == "clean-service") years = 12;
    if (of_e && basis == "clean-service-proof") years = 10;
    if ((type == "3A" || type == "3AA") && basis == "star") years = 10;
    if (type == "4AA" && basis == "ammonia") years = 10;
    constexpr int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    PlainDay out{tested_year + years, tested_month, lengths[tested_month - 1]};
    if (tested_month == 2 && out.year % 4 == 0 && out.year % 100 != 0) out.day = 29;
    return out;
}

int plain_audit_due(int since, const std::vector<int>& audits, int today) {
    int last = since;
    for (const int day : audits)
        if (day <= today && day > last) last = day;
    return months_after(last, 12);
}

std::vector<PlainOpen> plain_clocks(const std::vector<PlainFact>& facts, int days) {
    std::vector<PlainOpen> out;
    Desk desk;
    for (int today = 0; today < days; ++today) {
        desk.morning(today);
        for (const auto& f : facts)
            if (f.day == today) desk.take(f);
        desk.hold(today);
        out.push_back(desk.shown());
    }
    return out;
}

}  // namespace tarebook::property
