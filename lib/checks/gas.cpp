// Which gas is mixed with which, whose it is, and where it may go.
#include <fmt/format.h>

#include <algorithm>

#include "tarebook/checks/site_packs.hpp"
#include "used_gas.hpp"

namespace tarebook::checks {
namespace {

std::set<std::string> without(std::set<std::string> from, const std::set<std::string>& these) {
    for (const auto& t : these) from.erase(t);
    return from;
}

// Owners of the used gas that a charge or reuse drew (40 CFR 82.154(d)). Virgin and reclaimed gas may go to any owner.
std::set<std::string> owners_of_used(const Lots& lots) {
    std::set<std::string> out;
    for (const auto& lot : lots)
        if (Mass() < lot.mass && is_used(lot.key.condition)) out.insert(lot.key.owner);
    return out;
}

}  // namespace

bool is_used(Condition condition) {
    return condition == Condition::recovered || condition == Condition::recycled;
}

std::optional<UsedGas> used_gas(const Context& c) {
    const auto* from = drawn_for_circuit(c);
    if (!from) return std::nullopt;
    UsedGas u{put_of(c.event), from, {}, {}};
    if (const auto& place = c.place(u.put->circuit)) u.place_owner = place->owner;
    const auto owners = owners_of_used(from->levelled.lots);
    for (const auto& owner : owners) {
        if (u.place_owner.empty() || owner == owner_unassigned)
            u.untold = true;
        else if (c.reg.group_of(owner) != c.reg.group_of(u.place_owner))
            u.foreign.insert(owner == shop_owner ? "the shop" : owner);
    }
    return u;
}

Findings other_refrigerant(const Context& c) {
    Findings out;
    for (const auto* e : c.filled) {
        const auto arriving = arriving_gases(c, *e);
        const auto held = known_gases(e->levelled.lots);
        const auto& registered = c.facts(e->cylinder).refrigerant;
        auto kept = held;
        if (kept.empty() && registered) kept.insert(*registered);
        const auto others = without(arriving, kept);
        if (kept.empty() || others.empty()) continue;
        out.push_back(about(
            e->cylinder,
            held.empty()
                ? fmt::format("{} is kept for {}, and {} would go in", e->cylinder, listed(kept), listed(others))
                : fmt::format("{} holds {}, and {} would be added to it", e->cylinder, listed(held), listed(others)),
            fmt::format("{} of {}", c.mass(e->moved), listed(arriving)), fmt::format("{} only", listed(kept)),
            "stop; use a cylinder that is empty or holds the same gas; mixed gas can only go to reclaim "
            "or destruction"));
    }
    return out;
}

Findings refrigerant_not_on_record(const Context& c) {
    Findings out;
    for (const auto* e : c.filled) {
        if (!arriving_gases(c, *e).empty()) continue;
        out.push_back(
            about(e->cylinder,
                  fmt::format("which refrigerant went into {} is not on record: read the nameplate", e->cylinder), {},
                  {}, "name the appliance's refrigerant with `tarebook appliance correct`"));
    }
    return out;
}

namespace {

// A circuit's contents that go by estimate into another appliance: the same two checks as for gas out of a cylinder.
struct PumpedOver {
    const kinds::Pumpdown* down;
    PlaceFacts from, to;
};
std::optional<PumpedOver> pumped_over(const Context& c) {
    const auto* k = c.as<kinds::Pumpdown>();
    if (!k || !k->to) return std::nullopt;
    // Nothing moved; and without a posting a change of the register at that place does not come back to this event.
    if (!k->mass || k->mass->mass == Mass()) return std::nullopt;
    const auto from = place_facts(c.reg, k->circuit, c.order);
    const auto to = place_facts(c.reg, *k->to, c.order);
    if (!from || !to) return std::nullopt;
    return PumpedOver{k, *from, *to};
}

}  // namespace

Findings other_owner(const Context& c) {
    if (const auto over = pumped_over(c)) {
        const auto& [down, from_place, to_place] = *over;
        if (!place_under_us_law(c.reg, *down->to, c.order)) return {};
        if (from_place.owner.empty() || to_place.owner.empty() ||
            c.reg.group_of(from_place.owner) == c.reg.group_of(to_place.owner))
            return {};
        return {about(*down->to,
                      fmt::format("{} holds used gas of {}, and {} belongs to {} (40 CFR 82.154(d))", down->circuit,
                                  from_place.owner, *down->to, to_place.owner),
                      fmt::format("pumped over from {}", down->circuit), fmt::format("used gas of {}", to_place.owner),
                      "use other gas; used gas changes its owner only through a certified reclaimer")};
    }
    const auto u = used_gas(c);
    if (!u || u->foreign.empty() || u->put->ownership_exception) return {};
    if (!place_under_us_law(c.reg, u->put->circuit, c.order)) return {};
    return {about(u->from->cylinder,
                  fmt::format("{} holds used gas of {}, and {} belongs to {} (40 CFR 82.154(d))", u->from->cylinder,
                              listed(u->foreign), u->put->circuit, u->place_owner),
                  fmt::format("{} out of {} into {}", c.mass(-u->from->moved), u->from->cylinder, u->put->circuit),
                  fmt::format("used gas of {}, or gas that is virgin or reclaimed", u->place_owner),
                  "use other gas; used gas changes its owner only through a certified reclaimer; where the clause does "
                  "not apply, say so: --ownership-exception \"sister-company: WHY\"")};
}

Findings owner_not_on_record(const Context& c) {
    const auto u = used_gas(c);
    if (!u || !u->untold || !place_under_us_law(c.reg, u->put->circuit, c.order)) return {};
    return {about(u->put->circuit,
                  fmt::format("the owner of the gas in {}, or of {}, is not on record: used gas may only go back into "
                              "its owner's equipment",
                              u->from->cylinder, u->put->circuit),
                  {}, {}, "name the owner with `tarebook site correct`")};
}

Findings mixed_gas(const Context& c) {
    const auto* from = drawn_for_circuit(c);
    if (!from || !from->levelled.mixed) return {};
    const auto gases = known_gases(from->levelled.lots);
    return {about(from->cylinder,
                  fmt::format("{} holds mixed gas ({})", from->cylinder,
                              gases.size() > 1 ? listed(gases) : "not all of it known"),
                  fmt::format("{} into {}", c.mass(-from->moved), put_of(c.event)->circuit),
                  "gas that is one refrigerant", "use other gas; send this to reclaim or destruction")};
}

Findings spoiled_gas(const Context& c) {
    const auto* from = drawn_for_circuit(c);
    if (!from || from->levelled.spoiled.empty()) return {};
    return {about(from->cylinder,
                  fmt::format("the gas in {} is recorded as {}", from->cylinder, from->levelled.spoiled),
                  fmt::format("{} into {}", c.mass(-from->moved), put_of(c.event)->circuit), "clean gas",
                  "use other gas; send this to reclaim, and tell them what it is")};
}

Findings reclaim_only(const Context& c) {
    const auto* from = drawn_for_circuit(c);
    if (!from || !from->levelled.reclaim_only) return {};
    std::set<std::string> owners;
    for (const auto& lot : from->levelled.lots) owners.insert(lot.key.owner);
    return {about(from->cylinder,
                  fmt::format("gas of two owners is together in {}: it may only go to reclaim", from->cylinder),
                  fmt::format("gas of {}", listed(owners)), "one owner's gas",
                  "use other gas; send this to a certified reclaimer")};
}

Findings circuit_refrigerant(const Context& c) {
    if (const auto over = pumped_over(c)) {
        const auto& [down, from_place, to_place] = *over;
        if (from_place.refrigerant.empty() || to_place.refrigerant.empty() ||
            from_place.refrigerant == to_place.refrigerant)
            return {};
        return {about(*down->to,
                      fmt::format("{} runs on {}, and {} holds {}", *down->to, to_place.refrigerant, down->circuit,
                                  from_place.refrigerant),
                      fmt::format("pumped over from {}", down->circuit), to_place.refrigerant,
                      "stop; recover it into a cylinder instead")};
    }
    const auto* from = drawn_for_circuit(c);
    if (!from || from->levelled.mixed) return {};  // mixed gas is refused by another check
    const auto* put = put_of(c.event);
    const auto& place = c.place(put->circuit);
    if (!place || place->refrigerant.empty()) return {};
    auto gases = known_gases(from->levelled.lots);
    if (gases.empty())
        if (const auto& registered = c.facts(from->cylinder).refrigerant) gases.insert(*registered);
    const auto others = without(gases, {place->refrigerant});
    if (others.empty()) return {};
    return {about(
        put->circuit,
        fmt::format("{} runs on {}, and {} holds {}", put->circuit, place->refrigerant, from->cylinder, listed(gases)),
        fmt::format("{} out of {}", c.mass(-from->moved), from->cylinder), fmt::format("{}", place->refrigerant),
        "stop; use the appliance's own refrigerant; a changeover is recorded first with `tarebook convert`")};
}

Findings two_owners(const Context& c) {
    Findings out;
    for (const auto& e : c.folded.effects) {
        if (!(Mass() < e.moved) || !e.after.reclaim_only || e.before.reclaim_only) continue;
        if (c.facts(e.cylinder).use == "consolidation") continue;  // a consolidation cylinder is meant to be mixed
        std::set<std::string> owners;
        for (const auto& lot : e.after.lots)
            if (Mass() < lot.mass)
                owners.insert(lot.key.owner == shop_owner         ? "the shop"
                              : lot.key.owner == owner_unassigned ? "an owner who is not on record"
                                                                  : lot.key.owner);
        auto f = about(e.cylinder,
                       fmt::format("gas of {} is together in {}: from now on it may only go to reclaim", listed(owners),
                                   e.cylinder),
                       fmt::format("{} put in", c.mass(e.moved)), "one owner's gas, or a consolidation cylinder",
                       "mark it for reclaim");
        f.question = "two owners' gas: cylinder becomes reclaim-only?";
        out.push_back(std::move(f));
    }
    return out;
}

}  // namespace tarebook::checks
