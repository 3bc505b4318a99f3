// In which condition used gas may go into equipment again, and how gas gets another condition.
#include <fmt/format.h>

#include "tarebook/checks/ownership.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/rules/gwp.hpp"
#include "tarebook/units/word_list.hpp"
#include "used_gas.hpp"

namespace tarebook {

Result<std::string> parse_ownership_exception(std::string_view text) {
    for (const std::string_view word : {"sister-company: ", "federal: ", "vehicle: "})
        if (text.starts_with(word) && text.find_first_not_of(" \t", word.size()) != std::string_view::npos)
            return std::string(text);
    return fail(
        {ErrorKind::usage, "ownership-exception",
         "an exception from the rule on used gas names its kind and the reason", std::string(text),
         "\"sister-company: WHY\", \"federal: WHY\" or \"vehicle: WHY\"",
         "sister-company: also parent and subsidiary; vehicle: recycled from vehicles under section 609 (40 CFR "
         "82.154(d), list to confirm)"});
}

namespace checks {
namespace {

using Owner = terms::ReuseCondition::Owner;

// Whether the lot is in a worse condition than the rule asks for. False if the rule asks for reclaimed gas because of
// another owner: the check other-owner reports that.
bool falls_short(const Lot& lot, const terms::ReuseCondition& terms, bool own) {
    if (terms.owner != (own ? Owner::same : Owner::other)) return false;
    if (!own && terms.least <= Condition::reclaimed) return false;
    return terms.least < lot.key.condition;
}

}  // namespace

// A charge adds to what an appliance had, a reuse puts its gas back: rates of leaks and the year tell them apart.
Findings charge_of_used_gas(const Context& c) {
    const auto* k = c.as<kinds::Charge>();
    const auto* from = k ? drawn_for_circuit(c) : nullptr;
    if (!from) return {};
    // what may not be put back either is refused for that
    const auto& state = from->levelled;
    if (state.mixed || state.reclaim_only || !state.spoiled.empty()) return {};
    if (const auto u = used_gas(c); u && !u->foreign.empty()) return {};
    std::set<std::string> conditions;
    for (const auto& lot : state.lots) {
        if (!(Mass() < lot.mass)) continue;
        if (!is_used(lot.key.condition)) return {};
        conditions.insert(std::string(text_of(lot.key.condition)));
    }
    if (conditions.empty()) return {};
    auto f = about(from->cylinder,
                   fmt::format("{} holds {} gas: what goes back to its owner's equipment is a reuse, and reports tell "
                               "it from a charge",
                               from->cylinder, listed(conditions)),
                   fmt::format("charge of {} from {}", c.mass(-from->moved), from->cylinder),
                   "gas that is virgin or reclaimed, or a reuse",
                   fmt::format("void it, then: tarebook reuse --circuit {} --from {}, with the same weights; --reason "
                               "leak where it makes up for gas that leaked",
                               k->circuit, from->cylinder));
    f.question = fmt::format("{} holds {} gas, and tarebook reuse puts that back: is it a charge nevertheless?",
                             from->cylinder, listed(conditions));
    return {std::move(f)};
}

Findings reuse_condition(const Context& c) {
    const auto u = used_gas(c);
    if (!u || u->place_owner.empty()) return {};
    const auto& place = c.place(u->put->circuit);
    const auto packs = packs_of_place(c.data.rules, c.reg, u->put->circuit, c.order);
    Findings out;
    std::set<const Rule*> told;
    for (const auto& lot : u->from->levelled.lots) {
        const auto* gas = c.data.catalogue.find(lot.key.refrigerant);
        if (!gas || !(Mass() < lot.mass) || !is_used(lot.key.condition)) continue;
        const bool own = c.reg.group_of(lot.key.owner) == c.reg.group_of(u->place_owner);
        const RuleSubject subject{gas, place ? place->full_charge : std::nullopt, {}};
        for (const auto& m : matching<terms::ReuseCondition>(packs, subject, c.event.when.date())) {
            const auto& terms = m.as<terms::ReuseCondition>();
            if (!falls_short(lot, terms, own) || !told.insert(m.rule).second) continue;
            out.push_back(about(
                u->from->cylinder,
                fmt::format("{} {} went out of {} into {}; {}{} asks for {} gas at least", text_of(lot.key.condition),
                            lot.key.refrigerant, u->from->cylinder, u->put->circuit, m.rule->clause,
                            m.status() == RuleStatus::to_confirm ? " (to be confirmed)" : "", text_of(terms.least)),
                fmt::format("{} of {} gas", c.mass(-u->from->moved), text_of(lot.key.condition)),
                fmt::format("{} gas, or better", text_of(terms.least)),
                fmt::format(
                    "where it was cleaned, say so: tarebook recycle {} --oil-separated --drier-passes N, at the "
                    "time when it was done",
                    u->from->cylinder)));
        }
    }
    return out;
}

namespace {

bool barred(Condition condition, const terms::ServiceBan& ban, Date on) {
    if (condition != Condition::reclaimed && condition != Condition::recycled) return true;
    return !ban.reclaimed_or_recycled_always &&
           (!ban.reclaimed_or_recycled_until || on > *ban.reclaimed_or_recycled_until);
}

}  // namespace

// Gas that others put in has no condition on record and counts as new gas.
Findings service_ban(const Context& c) {
    const auto* put = put_of(c.event);
    if (!put) return {};
    const auto& place = c.place(put->circuit);
    const auto* gas = place ? c.data.catalogue.find(place->refrigerant) : nullptr;
    const auto* appliance = place ? c.reg.find(EntryKind::appliance, place->appliance) : nullptr;
    if (!gas || !appliance) return {};
    const auto packs = packs_of_place(c.data.rules, c.reg, place->site, c.order);
    const auto on = c.event.when.date();
    RuleSubject subject{gas, place->full_charge, {}};
    if (const auto category = appliance->text("category", c.order))
        subject.category = appliance_category_from(*category);
    const auto* from = drawn_for_circuit(c);
    std::set<Condition> conditions;
    if (from)
        for (const auto& lot : from->levelled.lots)
            if (Mass() < lot.mass) conditions.insert(lot.key.condition);
    if (conditions.empty()) conditions.insert(Condition::virgin);
    for (const auto& m : matching<terms::ServiceBan>(packs, subject, on)) {
        const auto& ban = m.as<terms::ServiceBan>();
        const auto set = find_gwp_set(packs, ban.gwp_set);
        if (!set) continue;
        const double gwp = gwp_of(*gas, *set).value;
        if (gwp < ban.gwp_from) continue;
        for (const auto condition : conditions) {
            if (!barred(condition, ban, on)) continue;
            const bool open = ban.reclaimed_or_recycled_always || ban.reclaimed_or_recycled_until;
            return {about(place->appliance,
                          fmt::format("{} {} went into {}; {}{} bans gas of {:g} and more there from {}",
                                      text_of(condition), gas->designation, put->circuit, m.rule->clause,
                                      m.status() == RuleStatus::to_confirm ? " (to be confirmed)" : "", ban.gwp_from,
                                      date_text(m.rule->from.value_or(on))),
                          fmt::format("a potential of {:g}", gwp),
                          !open                              ? std::string("a gas of a lower potential")
                          : ban.reclaimed_or_recycled_always ? std::string("reclaimed or recycled gas")
                                                             : fmt::format("reclaimed or recycled gas, until {}",
                                                                           date_text(*ban.reclaimed_or_recycled_until)),
                          m.rule->note.empty()
                              ? std::string("read the clause: exceptions are not known here")
                              : "where the clause has an exception for it, resolve this with that; " + m.rule->note)};
        }
    }
    return {};
}

namespace {
// The clause that defines the conditions of gas; other countries have words of their own for similar conditions.
std::string clause_of_conditions(const Context& c, std::string_view cylinder) {
    return law_of_the_us(c.facts(cylinder).country.value_or("")) ? " (40 CFR 82.152)" : "";
}
}  // namespace

Findings recycle_incomplete(const Context& c) {
    const auto* k = c.as<kinds::Recycle>();
    if (!k) return {};
    const auto* e = c.effect(k->cylinder);
    std::string lacks;
    const auto lacking = [&](bool is, std::string_view what) {
        if (is) add_word(lacks, what, "; ");
    };
    lacking(!k->oil_separated, "no oil separation on record");
    lacking(k->drier_passes.value_or(0) == 0, "no pass through driers on record");
    lacking(k->acid_test == "fail", "the acid test failed");
    lacking(k->moisture_test == "fail", "the moisture test failed");
    lacking(e && e->before.mixed, "it holds mixed gas, which cleaning does not separate");
    lacking(e && e->before.reclaim_only, "it holds two owners' gas");
    lacking(e && e->before.spoiled == "burnt-out", "its gas is recorded as burnt-out");
    if (lacks.empty()) return {};
    return {about(k->cylinder, fmt::format("{} was cleaned, but: {}", k->cylinder, lacks),
                  e ? fmt::format("{} in it", c.mass(e->after.contents())) : std::string(),
                  fmt::format("oil separation and one or more passes through driers{}, tests passed",
                              clause_of_conditions(c, k->cylinder)),
                  "clean it again, or send it to reclaim")};
}

// A better condition needs cleaning or a reclaimer: a statement alone does not improve gas.
Findings condition_by_word(const Context& c) {
    const auto* k = c.as<kinds::Reclassify>();
    const auto to = k && k->to_condition ? condition_from(*k->to_condition) : std::nullopt;
    if (!to) return {};
    const auto* e = c.effect(k->cylinder);
    if (!e) return {};
    std::set<std::string> were;
    for (const auto& lot : e->before.lots) {
        if (!(Mass() < lot.mass) || !(*to < lot.key.condition)) continue;
        if (k->lot_refrigerant && lot.key.refrigerant != *k->lot_refrigerant) continue;
        if (k->lot_owner && lot.key.owner != *k->lot_owner) continue;
        were.insert(std::string(text_of(lot.key.condition)));
    }
    if (were.empty()) return {};
    const std::string how = *to == Condition::recycled ? "tarebook recycle says how gas was cleaned"
                                                       : "reclaimed gas comes from a reclaimer: tarebook receive";
    return {
        about(k->cylinder,
              fmt::format("{} gas in {} is recorded as {} without a proof", listed(were), k->cylinder, text_of(*to)),
              "evidence: " + k->evidence,
              *to == Condition::recycled ? std::string("cleaning on record")
                                         : "gas that a reclaimer analysed" + clause_of_conditions(c, k->cylinder),
              how)};
}

}  // namespace checks
}  // namespace tarebook
