#include "all_movements.hpp"

#include <algorithm>

#include "shared_text.hpp"
#include "units/hex.hpp"

namespace tarebook::report {
namespace {

// A look for these bytes is quicker than reading the event. Inside words quotation marks are escaped, so that they can
// only be the field.
bool names_a_leak(std::string_view body) {
    return body.find("\"leak\":\"") != std::string_view::npos;
}

}  // namespace

std::uint16_t AllMovements::chain_of(const OrderKey& order, bool numbered) {
    const Chain chain{order.book, order.branch, numbered};
    const auto place = static_cast<std::size_t>(std::find(chains_.begin(), chains_.end(), chain) - chains_.begin());
    if (place == chains_.size()) chains_.push_back(chain);
    return static_cast<std::uint16_t>(place);
}

std::uint32_t AllMovements::more_of(const BookedEvent& e, const YearWords& words) {
    if (words.reason != Reason::purged && !names_a_leak(e.stored.body)) return 0;
    const auto event = tarebook::read(e.stored).event;
    more_.push_back({book_.leak_named_in(event), destroyed_by(event)});
    return static_cast<std::uint32_t>(more_.size() - 1);
}

void AllMovements::take(const BookedEvent& e, const std::vector<YearMovement>& movements, const YearWords& words,
                        std::string_view job) {
    std::optional<Moved> one;
    for (const auto& m : movements) {
        if (!m.equipment || m.term == Term::released) continue;
        if (!one) {
            one.emplace();
            one->at = e.order.at.time_since_epoch().count();
            one->seq = e.order.seq;
            one->day = static_cast<std::int32_t>(e.day.time_since_epoch().count());
            one->chain = chain_of(e.order, e.stored.own);
            std::copy_n(e.stored.digest.begin(), one->digest.size(), one->digest.begin());
            one->job = static_cast<std::uint32_t>(jobs_.size());
            one->job_size = static_cast<std::uint16_t>(job.size());
            jobs_ += job;
            one->more = more_of(e, words);
        }
        const auto appliance = appliance_of(m.place);
        auto& moved = moved_[appliance];
        // one event is one movement: of several lots, and of what is pumped over within the appliance
        if (!moved.empty() && is_of(moved.back(), *one)) {
            moved.back().mass += m.equipment->count();
            continue;
        }
        one->mass = m.equipment->count();
        one->reason = static_cast<std::uint8_t>(m.reason);
        moved.push_back(*one);
    }
}

bool AllMovements::is_of(const Moved& a, const Moved& b) {
    return a.seq == b.seq && a.chain == b.chain;
}

std::vector<KnownMovement> AllMovements::of(std::string_view appliance, Date until) const {
    std::vector<KnownMovement> out;
    const auto it = moved_.find(appliance);
    if (it == moved_.end()) return out;
    out.reserve(it->second.size());
    for (const auto& m : it->second) {
        if (Date(std::chrono::days(m.day)) > until) continue;
        const auto& chain = chains_[m.chain];
        KnownMovement known;
        known.movement.on = Date(std::chrono::days(m.day));
        if (m.job_size > 0) known.movement.job = jobs_.substr(m.job, m.job_size);
        known.movement.mass = Mass::from_count(m.mass);
        known.movement.reason = static_cast<Reason>(m.reason);
        known.movement.leak = more_[m.more].leak;
        known.movement.source =
            chain.numbered ? event_name(m.seq) : hex_of_bytes(std::string_view(m.digest.data(), m.digest.size()));
        known.order = {Instant(std::chrono::seconds(m.at)), chain.book, m.seq, chain.branch};
        known.destroyed = more_[m.more].destroyed;
        out.push_back(std::move(known));
    }
    return out;
}

}  // namespace tarebook::report
