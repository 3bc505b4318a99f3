// From movements to additions: net per job, with what its definition leaves out set apart.
#include <algorithm>
#include <deque>
#include <map>

#include "tarebook/leak_rate.hpp"

namespace tarebook {
namespace {

bool has(const std::vector<Reason>& list, Reason reason) {
    return std::find(list.begin(), list.end(), reason) != list.end();
}
void once(std::vector<Reason>& list, Reason reason) {
    if (!has(list, reason)) list.push_back(reason);
}

// What was taken out because a season changed, waiting to be put back: 40 CFR 82.152 and 84.102, seasonal variance
// (from memory): put back within one period of 12 months, and no more than was taken out.
class SeasonalStore {
 public:
    void take_out(Date on, Mass mass) { out_.push_back({on, mass}); }
    /// How much of `mass` is a return of what was taken out.
    Mass put_back(Date on, Mass mass) {
        while (!out_.empty() && after(out_.front().on, {12, Period::Unit::month}) < on) out_.pop_front();
        Mass covered;
        while (!out_.empty() && covered < mass) {
            const Mass part = std::min(out_.front().mass, mass - covered);
            covered += part;
            out_.front().mass -= part;
            if (out_.front().mass.is_zero()) out_.pop_front();
        }
        return covered;
    }

 private:
    struct Out {
        Date on;
        Mass mass;
    };
    std::deque<Out> out_;
};

struct Group {
    LeakAddition addition;
    MassTotal net, excluded;
};

}  // namespace

std::vector<LeakAddition> additions_of(const std::vector<ApplianceMovement>& movements,
                                       const std::vector<Reason>& excluded) {
    auto in_order = movements;
    std::stable_sort(in_order.begin(), in_order.end(),
                     [](const ApplianceMovement& a, const ApplianceMovement& b) { return a.on < b.on; });
    // The key says whether it is a job, so that a job named like a day is not taken for that day.
    struct Key {
        std::optional<std::string> job;
        Date day{};
        auto operator<=>(const Key&) const = default;
    };
    std::map<Key, std::size_t> found;
    std::vector<Group> groups;
    SeasonalStore seasons;
    for (const auto& m : in_order) {
        const auto [it, fresh] = found.try_emplace({m.job, m.job ? Date{} : m.on}, groups.size());
        if (fresh) groups.emplace_back().addition.job = m.job;
        auto& group = groups[it->second];
        auto& addition = group.addition;
        addition.on = m.on;
        if (addition.leak.empty()) addition.leak = m.leak;
        addition.sources.push_back(m.source);
        if (!has(excluded, m.reason)) {
            group.net += m.mass;
            continue;
        }
        Mass left_out = m.mass;
        if (m.reason == Reason::seasonal) {
            if (m.mass.is_negative()) seasons.take_out(m.on, -m.mass);
            if (!m.mass.is_negative()) left_out = seasons.put_back(m.on, m.mass);
            if (left_out < m.mass) group.net += m.mass - left_out;
        }
        if (left_out <= Mass()) continue;
        group.excluded += left_out;
        once(addition.excluded_reasons, m.reason);
    }
    std::vector<LeakAddition> out;
    for (auto& group : groups) {
        group.addition.mass = std::max(group.net.value(), Mass());
        group.addition.excluded = group.excluded.value();
        if (group.addition.counts() || !group.addition.excluded.is_zero()) out.push_back(std::move(group.addition));
    }
    std::stable_sort(out.begin(), out.end(), [](const LeakAddition& a, const LeakAddition& b) { return a.on < b.on; });
    return out;
}

}  // namespace tarebook
