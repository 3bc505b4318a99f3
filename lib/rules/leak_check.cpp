#include "tarebook/rules/leak_check.hpp"

#include <algorithm>

namespace tarebook {
namespace {

int in_months(Period p) {
    return p.unit == Period::Unit::year ? p.count * 12 : p.count;
}

bool exempt(const terms::LeakCheckExemption& e, const LeakCheckQuestion& q, const std::optional<ChargeParts>& parts) {
    if (!q.hermetic_and_labelled || (e.only_in == "residential-building" && !q.residential)) return false;
    if (e.any_below) return q.charge < *e.any_below;
    if (!parts) return false;
    // A blend of both kinds must keep both limits: the cautious reading.
    return (!e.t_co2e_below || parts->saturated.tonnes < *e.t_co2e_below) &&
           (!e.unsaturated_below || parts->unsaturated < *e.unsaturated_below);
}

}  // namespace

ChargeParts charge_parts(const Refrigerant& refrigerant, Mass charge, const GwpValues& set) {
    ChargeParts out{{0, set.set}, {}};
    for (const auto& component : refrigerant.composition) {
        const Mass mass = Mass::from_kilograms(charge.in_kilograms() * component.mass_percent / 100.0);
        const auto kind = class_of_component(component);
        if (kind == SubstanceClass::unsaturated) out.unsaturated += mass;
        if (kind != SubstanceClass::hfc && kind != SubstanceClass::pfc) continue;
        if (const auto value = set.of(component)) out.saturated.tonnes += mass.in_kilograms() / 1000.0 * *value;
    }
    return out;
}

LeakCheckNeed leak_check_need(RulePacks packs, const LeakCheckQuestion& question, Date on) {
    const RuleSubject subject{question.refrigerant, question.charge, std::nullopt};
    LeakCheckNeed out;
    const auto take = [&](Period every, const RuleMatch& match) {
        if (out.every && in_months(every) >= in_months(*out.every)) return;
        out.every = every;
        out.match = match;
    };
    for (const auto& m : matching<terms::LeakCheckByCharge>(packs, subject, on)) {
        const auto& terms = m.as<terms::LeakCheckByCharge>();
        const auto set = find_gwp_set(packs, terms.gwp_set);
        if (!set) continue;
        out.parts = charge_parts(*question.refrigerant, question.charge, *set);
        const bool reached = out.parts->saturated.tonnes >= terms.t_co2e_from ||
                             (terms.unsaturated_from && out.parts->unsaturated >= *terms.unsaturated_from);
        if (reached) take(question.detection_system ? terms.every_with_detection : terms.every, m);
    }
    for (const auto& m : matching<terms::LeakCheckBySubstance>(packs, subject, on))
        take(m.as<terms::LeakCheckBySubstance>().every, m);
    if (!out.every) return out;
    for (const auto& m : matching<terms::LeakCheckExemption>(packs, subject, on))
        if (exempt(m.as<terms::LeakCheckExemption>(), question, out.parts)) {
            out.every.reset();
            out.match = m;
        }
    return out;
}

}  // namespace tarebook
