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
