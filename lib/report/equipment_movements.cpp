#include "equipment_movements.hpp"

#include <algorithm>

#include "units/hex.hpp"

namespace tarebook::report {

MovedFor moved_for(const Book& book, const BookedEvent& e, const YearMovement& m) {
    if (m.term == Term::recovered) return {};
    // A look for these bytes is quicker than reading the event, and for a letter quicker than for a quotation mark.
    // Inside words quotation marks are escaped, so that they can only be the end of a field's name.
    const bool names_a_leak = e.stored.body.find("leak\":\"") != std::string_view::npos;
    if (m.reason != Reason::purged && !names_a_leak) return {};
    const auto event = tarebook::read(e.stored).event;
    return {book.leak_named_in(event), destroyed_by(event)};
}

bool move_equipment(const std::vector<YearMovement>& movements) {
    return std::any_of(movements.begin(), movements.end(), [](const auto& m) { return m.equipment.has_value(); });
}

void EquipmentMovements::take(const BookedEvent& e, const std::vector<YearMovement>& movements, std::string_view job) {
    std::optional<Moved> one;
    for (const auto& m : movements) {
        if (!m.equipment || m.term == Term::released || !scope_.shows_place(m.place, m.site_owner)) continue;
        if (!one) {
            one.emplace();
            one->at = e.order.at.time_since_epoch().count();
            one->seq = e.order.seq;
            std::copy_n(e.stored.digest.begin(), one->digest.size(), one->digest.begin());
            one->day = static_cast<std::int32_t>(e.day.time_since_epoch().count());
            one->event = ++events_;
            const auto [chain, fresh] = number_of_chain_.try_emplace({e.order.book, e.order.branch, e.stored.own},
                                                                     static_cast<std::uint32_t>(chains_.size()));
            if (fresh) chains_.push_back(&chain->first);
            one->chain = chain->second;
            one->job = static_cast<std::uint32_t>(jobs_.size());
            one->job_size = static_cast<std::uint16_t>(job.size());
            jobs_ += job;
            if (auto more = moved_for(book_, e, m); !more.leak.empty() || more.destroyed) {
                one->more = static_cast<std::uint32_t>(more_.size());
                more_.push_back(std::move(more));
            }
        }
        auto*& moved = moved_at_[m.place.data()];
        if (!moved) moved = &moved_[appliance_of(m.place)];
        one->mass = m.equipment->count();
        one->reason = static_cast<std::uint8_t>(m.reason);
        moved->push_back(*one);
    }
}

std::string EquipmentMovements::source_of(const Moved& m) const {
    const std::string_view digest(m.digest.data(), m.digest.size());
    if (named_ == Named::by_digest) return "d-" + hex_of_bytes(digest);
    return chains_[m.chain]->numbered ? event_name(m.seq) : hex_of_bytes(digest.substr(0, 6));
}

std::vector<KnownMovement> EquipmentMovements::of(std::string_view appliance, Date until) const {
    std::vector<KnownMovement> out;
    const auto it = moved_.find(appliance);
    if (it == moved_.end()) return out;
    out.reserve(it->second.size());
    for (const auto& m : it->second) {
        const Date on{std::chrono::days(m.day)};
        if (on > until) continue;
        const auto& chain = *chains_[m.chain];
        const auto& more = more_[m.more];
        KnownMovement known;
        known.event = m.event;
        known.movement = {on, {}, Mass::from_count(m.mass), static_cast<Reason>(m.reason), more.leak, source_of(m)};
        if (m.job_size > 0) known.movement.job = jobs_.substr(m.job, m.job_size);
        known.order = {Instant(std::chrono::seconds(m.at)), chain.book, m.seq, chain.branch};
        known.destroyed = more.destroyed;
        out.push_back(std::move(known));
    }
    return out;
}

std::vector<std::string> EquipmentMovements::appliances() const {
    std::vector<std::string> out;
    for (const auto& [code, moved] : moved_) out.push_back(code);
    return out;
}

}  // namespace tarebook::report
