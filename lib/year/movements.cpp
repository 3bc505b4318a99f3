// Turns postings into the terms of a year's balance.
#include <algorithm>
#include <cassert>

#include "tarebook/year/year.hpp"

namespace tarebook {

std::string_view SiteOwners::owner_of(std::string_view place, const OrderKey& when) {
    const auto site = place.substr(0, place.find('/'));
    auto it = by_site_.find(site);
    if (it == by_site_.end()) {
        const std::vector<DatedValue>* owners = nullptr;
        if (const auto* entry = reg_.find(EntryKind::site, site))
            if (const auto field = entry->fields().find("owner"); field != entry->fields().end())
                owners = &field->second;
        it = by_site_.emplace(std::string(site), owners).first;
    }
    if (!it->second || it->second->empty()) return owner_unassigned;
    // The earliest value holds for all earlier times too, as in Entry::at.
    const auto& values = *it->second;
    const auto after = std::upper_bound(values.begin(), values.end(), when,
                                        [](const OrderKey& k, const DatedValue& v) { return k < v.from; });
    const auto& owner = (after == values.begin() ? values.front() : *std::prev(after)).value.text;
    return owner.empty() ? owner_unassigned : std::string_view(owner);
}

namespace {

Term term_of_circuit(std::string_view kind, bool touches_cylinders) {
    if (kind == kinds::Recover::name) return Term::recovered;
    if (kind == kinds::Release::name) return Term::released;
    if (kind == kinds::Pumpdown::name) return Term::pumped_over;
    if (kind == kinds::Charge::name || kind == kinds::Reuse::name) {
        if (!touches_cylinders) return Term::by_others;
        return kind == kinds::Charge::name ? Term::charged : Term::reused;
    }
    return Term::other;
}

Term term_of(AccountKind account, std::string_view kind, bool touches_cylinders) {
    switch (account) {
        case AccountKind::circuit:
            return term_of_circuit(kind, touches_cylinders);
        case AccountKind::supplier:
            return kind == kinds::Receive::name ? Term::received : Term::returned;
        case AccountKind::reclaimer:
            return Term::returned;
        case AccountKind::destroyer:
            return Term::destroyed;
        case AccountKind::atmosphere:
            return Term::released;
        case AccountKind::lost:
            return Term::lost;
        case AccountKind::opening:
            return Term::taken_over;
        case AccountKind::unaccounted:
            return Term::unaccounted;
        case AccountKind::scale:
            return Term::scale;
        case AccountKind::reclassified:
            return Term::reclassified;
        default:
            return Term::other;
    }
}

bool same_gas(const LotKey& a, const LotKey& b) {
    return a.refrigerant == b.refrigerant && a.owner == b.owner;
}

// What cylinders gained of a gas beyond what all other accounts lost: a lot that changed its owner (or, against the
// counter-account, its refrigerant).
Mass left_over(std::span<const YearPosting> postings, const LotKey& lot) {
    MassTotal sum;
    for (const auto& p : postings)
        if (same_gas(*p.lot, lot)) sum += p.mass;
    return sum.value();
}

}  // namespace

const std::vector<YearMovement>& YearMovements::of(const YearEvent& event, const YearWords& words) {
    out_.clear();
    const auto& postings = event.postings;
    const bool touches_cylinders = std::any_of(postings.begin(), postings.end(), [](const YearPosting& p) {
        return p.account->kind == AccountKind::cylinder;
    });
    for (const auto& p : postings) {
        const auto kind = p.account->kind;
        if (kind == AccountKind::cylinder) continue;
        const bool circuit = kind == AccountKind::circuit;
        if (!touches_cylinders && !circuit) continue;  // the other side of a movement into or out of equipment
        YearMovement m;
        m.term = term_of(kind, event.kind, touches_cylinders);
        m.basis = words.basis;
        m.reason = words.reason;
        m.refrigerant = p.lot->refrigerant, m.owner = p.lot->owner, m.condition = text_of(p.lot->condition);
        m.place = p.account->code;
        if (touches_cylinders) m.stock = -p.mass;
        if (circuit) {
            m.equipment = p.mass;
            m.site_owner = owners_.owner_of(p.account->code, event.order);
        }
        out_.push_back(m);
    }
    if (!touches_cylinders) return out_;
    for (auto p = postings.begin(); p != postings.end(); ++p) {
        if (std::any_of(postings.begin(), p, [&](const YearPosting& q) { return same_gas(*q.lot, *p->lot); })) continue;
        const Mass rest = left_over(postings, *p->lot);
        if (rest.is_zero()) continue;
        YearMovement m;
        m.term = Term::reclassified;
        m.basis = Basis::estimated;
        m.refrigerant = p->lot->refrigerant, m.owner = p->lot->owner;
        m.stock = rest;
        out_.push_back(m);
    }
    return out_;
}

}  // namespace tarebook
