#include "tarebook/ledger/ledger.hpp"

namespace tarebook {
namespace {

const Weighing* weighing_of(const Event& event, std::string_view cylinder) {
    return std::visit(
        [&](const auto& k) -> const Weighing* {
            using K = std::decay_t<decltype(k)>;
            if constexpr (std::is_same_v<K, kinds::Transfer>)
                return k.from == cylinder ? &k.from_weighing : &k.into_weighing;
            else if constexpr (requires { k.weighing.is_pair(); })
                return &k.weighing;
            else
                return nullptr;
        },
        event.what);
}

}  // namespace

Mass weighed_amount(const Event& event, std::string_view cylinder) {
    if (const auto* opening = std::get_if<kinds::Opening>(&event.what))
        return opening->net ? opening->net->mass.magnitude() : Mass();
    if (const auto* release = std::get_if<kinds::Release>(&event.what)) return release->released().magnitude();
    const auto* w = weighing_of(event, cylinder);
    if (!w) return {};
    if (const auto* transfer = std::get_if<kinds::Transfer>(&event.what); transfer && w->gained().is_zero())
        w = w == &transfer->from_weighing ? &transfer->into_weighing : &transfer->from_weighing;
    return w->gained().magnitude();
}

bool may_be_one_amount(Mass moved, Mass amount) {
    return !moved.is_zero() && !amount.is_zero() &&
           (moved.magnitude() - amount.magnitude()).magnitude() <= Mass::pounds(1);
}

NearbyEvent nearby_event(const Event& event, std::string_view cylinder, Mass moved, Mass gap, Mass contents,
                         std::string name) {
    NearbyEvent out;
    out.event = std::move(name);
    out.order = event.order();
    out.when = event.when;
    out.kind = std::string(event.kind());
    out.circuit = circuit_named_by(event);
    if (const auto* w = weighing_of(event, cylinder); w && w->is_pair()) {
        out.before = w->before->mass;
        out.after = w->after->mass;
    }
    out.moved = moved;
    out.gap = gap;
    out.contents = contents;
    return out;
}

}  // namespace tarebook
