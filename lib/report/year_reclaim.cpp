#include "year_reclaim.hpp"

#include <algorithm>

namespace tarebook::report {

Mass ReclaimLine::awaited_at_end() const {
    return awaited_at_start.value() + sent.value() - stated.value() - not_refrigerant.value() - difference.value();
}
ReclaimLine& ReclaimLine::operator+=(const ReclaimLine& other) {
    awaited_at_start += other.awaited_at_start.value();
    sent += other.sent.value();
    stated += other.stated.value();
    not_refrigerant += other.not_refrigerant.value();
    difference += other.difference.value();
    return *this;
}
bool ReclaimLine::is_empty() const {
    return awaited_at_start.is_zero() && sent.is_zero() && stated.is_zero() && not_refrigerant.is_zero() &&
           difference.is_zero() && sent_in_exchange.is_zero();
}

ReclaimWatch::ReclaimWatch(const Book& book, std::chrono::year year) : first_(year / 1 / 1), last_(year / 12 / 31) {
    for (const auto& s : book.statements()) {
        if (s.on > last_) continue;
        by_return_.emplace(s.returned_id, s);
        return_of_.emplace(s.event_id, s.returned_id);
    }
}

void ReclaimWatch::see(const BookedEvent& e) {
    if (e.day > last_) return;
    if (e.kind == kinds::Return::name) {
        see_return(e);
    } else if (e.kind == kinds::Exchange::name) {
        see_exchange(e);
    } else if (e.kind == kinds::Settle::name && !e.voided_by) {
        if (const auto it = return_of_.find(e.stored.id); it != return_of_.end()) see_statement(e, it->second);
    }
}

void ReclaimWatch::see_exchange(const BookedEvent& e) {
    if (e.day < first_) return;
    for (const auto& p : e.postings)
        if (p.account->kind == AccountKind::supplier) line(*p.lot).sent_in_exchange += p.mass;
}

void ReclaimWatch::see_return(const BookedEvent& e) {
    Returned r;
    const bool before = e.day < first_;
    const auto statement = by_return_.find(e.stored.id);
    // What was sent and settled before the year began is no matter of this one.
    if (before && statement != by_return_.end() && statement->second.on < first_) return;
    std::map<LotKey, MassTotal> sums;
    for (const auto& p : e.postings) {
        if (p.account->kind != AccountKind::reclaimer) continue;
        r.to = p.account->code;
        sums[*p.lot] += p.mass;
        (before ? line(*p.lot).awaited_at_start : line(*p.lot).sent) += p.mass;
    }
    if (statement == by_return_.end()) return;
    for (const auto& [key, sum] : sums)
        if (!sum.is_zero()) r.lots.push_back({key, sum.value()});
    r.digest = e.stored.whole_digest();
    r.on = e.day;
    open_.emplace(e.stored.id, std::move(r));
}

void ReclaimWatch::see_statement(const BookedEvent& e, std::int64_t return_id) {
    const auto event = event_from_body(e.stored.body);
    const auto* said = event ? std::get_if<kinds::Settle>(&event->what) : nullptr;
    if (!said) return;
    const auto digest = e.stored.whole_digest();
    said_.emplace(return_id, digest);
    const auto returned = open_.find(return_id);
    if (returned == open_.end()) return;
    const auto split = settlement_of(*said, returned->second.lots);
    YearStatement out{digest, returned->second.digest, e.stored.id, e.order,
                      e.day,  returned->second.on,     *said,       returned->second.to,
                      {},     split.within_tolerance()};
    const auto lot_of = [&](const LotKey& key) -> StatedLot& {
        auto it = std::find_if(out.lots.begin(), out.lots.end(), [&](const StatedLot& l) { return l.lot == key; });
        if (it == out.lots.end()) it = out.lots.insert(out.lots.end(), StatedLot{key, {}, {}, {}, {}});
        return *it;
    };
    for (const auto& lot : split.sent) lot_of(lot.key).sent += lot.mass;
    for (const auto& lot : split.stated) lot_of(lot.key).stated += lot.mass;
    for (const auto& lot : split.contaminants) lot_of(lot.key).not_refrigerant += lot.mass;
    for (const auto& lot : split.rest) lot_of(lot.key).difference += lot.mass;
    for (const auto& lot : out.lots) {
        auto& sums = line(lot.lot);
        sums.stated += lot.stated;
        sums.not_refrigerant += lot.not_refrigerant;
        sums.difference += lot.difference;
    }
    statements_.push_back(std::move(out));
    open_.erase(returned);
}

std::optional<Digest> ReclaimWatch::statement_on(std::int64_t return_id) const {
    const auto it = said_.find(return_id);
    return it == said_.end() ? std::nullopt : std::optional(it->second);
}

}  // namespace tarebook::report
