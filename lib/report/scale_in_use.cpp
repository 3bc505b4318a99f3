#include "scale_in_use.hpp"

#include "tarebook/event/event.hpp"

namespace tarebook::report {
namespace {

constexpr std::int64_t events_looked_at = 8;

}  // namespace

ScalesInUse::ScalesInUse(const Book& book) : book_(book) {
    const OrderKey last{Instant::max(), {}, INT64_MAX};
    for (const auto& code : book.codes(EntryKind::scale)) {
        const auto* entry = book.entries().find(EntryKind::scale, code);
        const auto division = entry ? entry->mass("division", last) : std::nullopt;
        if (!division || *division <= Mass()) continue;
        auto& scale = scales_[code];
        scale.division = *division;
        if (const auto reads = entry->text("reads", last))
            scale.reads = *reads == "kg" ? DisplayUnits::kg : DisplayUnits::lb;
    }
}

const ScaleDivision* ScalesInUse::find(const std::optional<std::string>& scale) const {
    const auto it = scale ? scales_.find(*scale) : scales_.end();
    return it == scales_.end() ? nullptr : &it->second;
}

std::optional<ScaleDivision> ScalesInUse::of(std::string_view cylinder, const std::optional<std::string>& named) const {
    if (scales_.empty()) return std::nullopt;
    if (const auto* scale = find(named)) return *scale;
    const auto steps = book_.last_steps(cylinder, events_looked_at);
    for (auto step = steps.rbegin(); step != steps.rend(); ++step) {
        const auto stored = book_.event(step->event_id);
        if (!stored || !stored->event.scale) continue;
        const auto* scale = find(stored->event.scale);
        return scale ? std::optional(*scale) : std::nullopt;
    }
    return std::nullopt;
}

}  // namespace tarebook::report
