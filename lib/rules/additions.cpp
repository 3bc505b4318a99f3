// From movements to additions: net per job, without what the rule's definition leaves out.
#include <algorithm>
#include <deque>
#include <map>

#include "tarebook/rules/leak_rate.hpp"

namespace tarebook {
namespace {

bool has(const std::vector<Reason>& list, Reason reason) {
    return std::find(list.begin(), list.end(), reason) != list.end();
}
void once(std::vector<Reason>& list, Reason reason) {
    if (!has(list, reason)) list.push_back(reason);
}

// Gas that was taken out because a season changed. 40 CFR 82.152 and 84.102, seasonal variance (from memory): it counts
// as put back within one period of 12 months, and up to the mass that was taken out.
class SeasonalStore {
 public:
    void take_out(Date on, Mass mass) { out_.push_back({on, mass}); }
    /// Returns how much of `mass` puts back what was taken out.
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
    MassTotal net, excluded, put_back, uncovered;
};

// Gas that was taken out for a repair and is expected back, by this job or by another one.
class RepairStore {
 public:
    explicit RepairStore(std::vector<TakenOut>& out) : out_(out) {}
    void take_out(std::size_t group, const ApplianceMovement& m) {
        of_group_[group].push_back(out_.size());
        groups_.push_back(group);
        out_.push_back({m.on, m.job, -m.mass, -m.mass, m.source, {}, {}});
    }
    /// Up to `mass` of what that job took out is put back. Returns how much.
    Mass back_in_job(std::size_t group, Mass mass, const ApplianceMovement& by) {
        Mass covered;
        if (const auto it = of_group_.find(group); it != of_group_.end())
            for (const auto i : it->second) covered += back(i, mass - covered, by);
        return covered;
    }
    /// Up to `mass` of what other jobs took out is put back, the oldest first: `took(group, part)`. Returns how much.
    template <class Took>
    Mass back_from_others(Mass mass, const ApplianceMovement& by, Took took) {
        Mass covered;
        for (; oldest_ < out_.size() && covered < mass; ++oldest_) {
            const auto part = back(oldest_, mass - covered, by);
            if (!part.is_zero()) took(groups_[oldest_], part);
            covered += part;
            if (!out_[oldest_].left.is_zero()) break;
        }
        return covered;
    }
    /// Ends all waiting, because the appliance got another gas or none.
    void end(const ApplianceMovement& by) {
        for (std::size_t i = oldest_; i < out_.size(); ++i) back(i, out_[i].left, by);
    }

 private:
    Mass back(std::size_t i, Mass most, const ApplianceMovement& by) {
        auto& one = out_[i];
        const Mass part = std::min(one.left, most);
        if (part.is_zero()) return part;
        one.left -= part;
        if (one.left.is_zero()) one.back_on = by.on, one.back_by = by.source;
        return part;
    }
    std::vector<TakenOut>& out_;
    std::vector<std::size_t> groups_;
    std::map<std::size_t, std::vector<std::size_t>> of_group_;
    std::size_t oldest_ = 0;
};

bool for_a_repair(Reason reason) {
    return reason == Reason::open || reason == Reason::leak || reason == Reason::put_back;
}
bool ends_what_was_out(const ApplianceMovement& m) {
    return m.reason == Reason::conversion ||
           (m.mass.is_negative() ? m.reason == Reason::disposal : m.reason == Reason::initial);
}

class Sorting {
 public:
    explicit Sorting(const std::vector<Reason>& excluded) : excluded_(excluded), repairs_(taken_out) {}

    void take(const ApplianceMovement& m) {
        const auto [it, fresh] = found_.try_emplace({m.job, m.job ? Date{} : m.on}, groups_.size());
        if (fresh) groups_.emplace_back().addition.job = m.job;
        const auto at = it->second;
        auto& addition = groups_[at].addition;
        addition.on = m.on;
        if (addition.leak.empty()) addition.leak = m.leak;
        addition.sources.push_back(m.source);
        if (ends_what_was_out(m)) repairs_.end(m);
        if (has(excluded_, m.reason))
            take_excluded(groups_[at], m);
        else if (m.mass.is_negative())
            take_out(at, m);
        else
            put_in(at, m);
    }
    std::vector<LeakAddition> additions() {
        std::vector<LeakAddition> out;
        for (auto& group : groups_) {
            group.addition.mass = std::max(group.net.value(), Mass());
            group.addition.excluded = group.excluded.value();
            group.addition.put_back = group.put_back.value();
            group.addition.put_back_uncovered = std::min(group.uncovered.value(), group.addition.mass);
            if (group.addition.counts() || !group.addition.excluded.is_zero()) out.push_back(std::move(group.addition));
        }
        std::stable_sort(out.begin(), out.end(),
                         [](const LeakAddition& a, const LeakAddition& b) { return a.on < b.on; });
        return out;
    }
    std::vector<TakenOut> taken_out;

 private:
    void take_excluded(Group& group, const ApplianceMovement& m) {
        Mass left_out = m.mass;
        if (m.reason == Reason::seasonal) {
            if (m.mass.is_negative()) seasons_.take_out(m.on, -m.mass);
            if (!m.mass.is_negative()) left_out = seasons_.put_back(m.on, m.mass);
            if (left_out < m.mass) group.net += m.mass - left_out;
        }
        if (left_out <= Mass()) return;
        group.excluded += left_out;
        once(group.addition.excluded_reasons, m.reason);
    }
    void take_out(std::size_t at, const ApplianceMovement& m) {
        groups_[at].net += m.mass;
        if (for_a_repair(m.reason)) repairs_.take_out(at, m);
    }
    void put_in(std::size_t at, const ApplianceMovement& m) {
        Mass rest = m.mass - repairs_.back_in_job(at, m.mass, m);
        groups_[at].net += m.mass;
        if (m.reason != Reason::put_back) return;
        const auto covered = repairs_.back_from_others(rest, m, [&](std::size_t other, Mass part) {
            groups_[other].net += part;  // that job took out so much less
        });
        groups_[at].net -= covered;
        groups_[at].put_back += covered;
        groups_[at].uncovered += rest - covered;
    }

    // The key tells a job from a day, so that a job that is named like a day is not taken for it.
    struct Key {
        std::optional<std::string> job;
        Date day{};
        auto operator<=>(const Key&) const = default;
    };
    const std::vector<Reason>& excluded_;
    std::map<Key, std::size_t> found_;
    std::vector<Group> groups_;
    SeasonalStore seasons_;
    RepairStore repairs_;
};

}  // namespace

SortedMovements sorted(const std::vector<ApplianceMovement>& movements, const std::vector<Reason>& excluded) {
    Sorting sorting(excluded);
    std::vector<const ApplianceMovement*> in_order;
    in_order.reserve(movements.size());
    for (const auto& m : movements) in_order.push_back(&m);
    std::stable_sort(in_order.begin(), in_order.end(),
                     [](const ApplianceMovement* a, const ApplianceMovement* b) { return a->on < b->on; });
    for (const auto* m : in_order) sorting.take(*m);
    return {sorting.additions(), std::move(sorting.taken_out)};
}

}  // namespace tarebook
