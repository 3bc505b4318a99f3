#include "plain_clocks.hpp"

#include <algorithm>

namespace tarebook::property {
namespace {

struct Desk {
    PlainOpen open;
    std::set<int> known, unrepaired, unproved;
    bool episode = false, plan_made = false, plan_asked = false;
    int repair_day = 0, release_day = -1, last_added = -1;

    void morning(int today) {
        if (!episode || plan_made || plan_asked || today <= repair_day) return;
        bool behind = open.contains("repair");
        for (const auto& [name, day] : open) behind = behind || name.starts_with("initial-test");
        if (behind) open["plan"] = repair_day + 30, plan_asked = true;
    }
    void added(const PlainFact& f) {
        const int between = last_added < 0 ? 365 : std::min(f.day - last_added, 365);
        last_added = f.day;
        if (f.pounds * 365 <= 20 * between) return;  // of 100 lb, 20 %: strictly over
        if (!episode) repair_day = f.day + 30, episode = true, plan_asked = plan_made = false;
        if (!open.contains("repair")) {
            open["repair"] = f.day + 30;
            repair_day = f.day + 30;
        }
        release_day = f.day + 365;
        if (!open.contains("inspection")) open["inspection"] = f.day + 365;
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
        open.emplace("repair", repair_day);
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
        episode = plan_made = plan_asked = false;
    }
    void take(const PlainFact& f) {
        using Kind = PlainFact::Kind;
        if (f.kind == Kind::added) added(f);
        if (f.kind == Kind::found) known.insert(f.leak), unrepaired.insert(f.leak), unproved.insert(f.leak);
        if (f.kind == Kind::inspected && open.erase("inspection") > 0 && f.day + 365 <= release_day)
            open["inspection"] = f.day + 365;
        if (f.kind == Kind::repaired) repaired(f);
        if (f.kind == Kind::initial) initial(f);
        if (f.kind == Kind::follow_up) follow_up(f);
        if (f.kind == Kind::planned && episode) {
            open.erase("plan");
            plan_made = true;
            open.emplace("plan-work", f.day + std::min(f.by, 365));
        }
    }
};

}  // namespace

std::vector<PlainOpen> plain_clocks(const std::vector<PlainFact>& facts, int days) {
    std::vector<PlainOpen> out;
    Desk desk;
    for (int today = 0; today < days; ++today) {
        desk.morning(today);
        for (const auto& f : facts)
            if (f.day == today) desk.take(f);
        out.push_back(desk.open);
    }
    return out;
}

}  // namespace tarebook::property
