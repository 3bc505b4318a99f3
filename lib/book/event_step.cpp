#include "event_step.hpp"

namespace tarebook {

void remember_nearby(NearbyRows& rows, NearbyRow nearby) {
    while (!rows.empty() && nearby.event.order.at - rows.front().event.order.at > nearby_reach) rows.pop_front();
    rows.push_back(std::move(nearby));
}

// Adds what the event meets: all of other books, and of its own what moved about as much.
void EventStep::meet(const OrderKey& order, const std::string& cylinder, Mass amount, NearbyRows& near,
                     States& before) const {
    for (auto& kept : near) {
        const auto& there = kept.event.order;
        if (!(there < order) || order.at - there.at > nearby_reach) continue;
        if (there.book == order.book && !may_be_one_amount(kept.event.moved, amount)) continue;
        if (!kept.read) {
            kept.event = surroundings_->read(kept, cylinder);
            kept.read = true;
        }
        auto& met = before.nearby[cylinder].emplace_back(kept.event);
        if (kept.row != 0) met.event = surroundings_->name(kept);
    }
}

Outcome EventStep::judge(const Event& event, std::span<const std::string> codes,
                         std::span<PassedCylinder* const> cylinders, std::optional<Sent> sent,
                         const RecordedBefore& recorded_before) const {
    States before;
    before.sent = std::move(sent);
    before.recorded_before = recorded_before;
    const auto order = event.order();
    for (std::size_t i = 0; i < codes.size(); ++i) {
        before.emplace(codes[i], std::move(cylinders[i]->state));
        if (auto& near = cylinders[i]->near; surroundings_ && !near.empty())
            meet(order, codes[i], weighed_amount(event, codes[i]), near, before);
    }
    if (surroundings_ && surroundings_->several_books) before.fork = surroundings_->fork_at(event);
    return evaluator_.evaluate(event, before, reg_);
}

void EventStep::leave(const Event& event, Outcome&& outcome, std::span<PassedCylinder* const> cylinders,
                      std::int64_t row, const std::string& name) const {
    for (std::size_t i = 0; i < cylinders.size(); ++i) {
        auto& effect = outcome.effects[i];
        if (surroundings_ && (surroundings_->several_books || !effect.moved.is_zero()))
            remember_nearby(cylinders[i]->near, {nearby_event(event, effect.cylinder, effect.moved, effect.gap,
                                                              effect.after.contents(), name),
                                                 name.empty() ? row : 0});
        cylinders[i]->state = std::move(effect.after);
    }
}

Sent sent_by(const Event& event, const kinds::Return& what, std::span<const Posting> postings) {
    std::map<LotKey, MassTotal> sums;
    for (const auto& p : postings)
        if (p.account.kind == AccountKind::reclaimer) sums[p.lot] += p.mass;
    Sent out{event.order(), what.cylinder, what.to, {}, false};
    for (const auto& [key, sum] : sums)
        if (!sum.is_zero()) out.lots.push_back({key, sum.value()});
    return out;
}

}  // namespace tarebook
