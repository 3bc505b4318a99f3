#include "event_step.hpp"

namespace tarebook {

void keep_touch(Touches& touches, KeptTouch touch) {
    while (!touches.empty() && touch.touch.order.at - touches.front().touch.order.at > touch_reach) touches.pop_front();
    touches.push_back(std::move(touch));
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
        if (!surroundings_) continue;
        for (const auto& kept : cylinders[i]->near) {
            const auto& there = kept.touch.order;
            if (there.book == order.book || !(there < order) || order.at - there.at > touch_reach) continue;
            auto& met = before.touched[codes[i]].emplace_back(kept.touch);
            if (kept.row != 0) met.event = surroundings_->name(kept);
        }
    }
    if (surroundings_) before.fork = surroundings_->fork_at(event);
    return evaluator_.evaluate(event, before, reg_);
}

void EventStep::leave(const Event& event, Outcome&& outcome, std::span<PassedCylinder* const> cylinders,
                      std::int64_t row, const std::string& name) const {
    for (std::size_t i = 0; i < cylinders.size(); ++i) {
        auto& effect = outcome.effects[i];
        if (surroundings_)
            keep_touch(cylinders[i]->near,
                       {touch_of(event, effect.cylinder, effect.moved, effect.gap, effect.after.contents(), name),
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
