#include "tarebook/rules/evacuation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "tarebook/refrigerant/saturation.hpp"

namespace tarebook {
namespace {

constexpr auto class_temperature = Temperature::fahrenheit(104);
constexpr double near_boundary = 0.05;  // a project rule: tables and regulation may differ by that much

struct Bounds {
    const terms::PressureClassBounds* terms;
    const Rule* rule;
};
std::vector<Bounds> bounds_of(RulePacks packs) {
    std::vector<Bounds> out;
    for (const auto* pack : packs)
        for (const auto& rule : pack->rules)
            if (const auto* terms = std::get_if<terms::PressureClassBounds>(&rule.terms)) out.push_back({terms, &rule});
    return out;
}
bool inside(const terms::PressureClassBounds& b, AbsolutePressure p) {
    return (!b.above || p > *b.above) && (!b.up_to || p <= *b.up_to);
}
bool near(std::optional<AbsolutePressure> bound, AbsolutePressure p) {
    return bound && std::abs(p.in_psia() / bound->in_psia() - 1.0) <= near_boundary;
}

bool machine_fits(const auto& terms, std::optional<Date> made) {
    if (!made) return true;
    return (!terms.machine_from || *made >= *terms.machine_from) &&
           (!terms.machine_before || *made < *terms.machine_before);
}

// Of the rows that may apply to the appliance, the strictest one.
std::optional<RuleMatch> strictest(RulePacks packs, const RuleSubject& subject, PressureClass pressure_class,
                                   std::optional<Date> made, Date on) {
    std::vector<RuleMatch> rows;
    if (subject.full_charge) {
        rows = matching<terms::EvacuationLevel>(packs, subject, on);
    } else {
        // One charge for each range of the table: small and large.
        for (const auto charge : {Mass::from_count(1), Mass::pounds(1'000'000)}) {
            const RuleSubject trial{subject.refrigerant, charge, subject.category};
            for (const auto& m : matching<terms::EvacuationLevel>(packs, trial, on)) rows.push_back(m);
        }
    }
    std::optional<RuleMatch> out;
    for (const auto& row : rows) {
        const auto& terms = row.as<terms::EvacuationLevel>();
        if (terms.pressure_class != pressure_class || !machine_fits(terms, made)) continue;
        if (!out || absolute_of(terms.level) < absolute_of(out->as<terms::EvacuationLevel>().level)) out = row;
    }
    return out;
}

// The rule of a small appliance; of those for machines of different years, the strictest one.
std::optional<RuleMatch> small_appliance_rule(RulePacks packs, const RuleSubject& subject, std::optional<Date> made,
                                              Date on) {
    std::optional<RuleMatch> out;
    if (!subject.hermetic || !subject.full_charge) return out;
    for (const auto& m : matching<terms::SmallApplianceRecovery>(packs, subject, on)) {
        const auto& terms = m.as<terms::SmallApplianceRecovery>();
        if (*subject.full_charge > terms.up_to || !machine_fits(terms, made)) continue;
        if (!out || out->as<terms::SmallApplianceRecovery>().compressor_running < terms.compressor_running) out = m;
    }
    return out;
}

}  // namespace

Result<PressureClassFact> pressure_class(RulePacks packs, const Refrigerant& refrigerant) {
    const auto unknown = [&](std::string why) {
        return fail({ErrorKind::refused, "pressure-class-unknown",
                     fmt::format("the pressure class of {} cannot be told", refrigerant.designation), std::move(why),
                     "a saturation table that reaches 104 F, and a rule pack with the classes",
                     "find the level in 40 CFR 82.156(a) Table 1"});
    };
    const auto classes = bounds_of(packs);
    const auto of = [&](PressureClass wanted) {
        return std::find_if(classes.begin(), classes.end(),
                            [&](const Bounds& b) { return b.terms->pressure_class == wanted; });
    };
    const auto point = saturation_at(refrigerant, class_temperature);
    const bool above_critical = refrigerant.critical && *refrigerant.critical < class_temperature;
    if (above_critical) {
        const auto it = of(PressureClass::very_high);
        if (it == classes.end()) return unknown("no pack has the classes");
        return PressureClassFact{PressureClass::very_high, std::nullopt, std::nullopt, it->rule};
    }
    if (!point) return unknown(outside_table(refrigerant, point.error()).what);
    const auto pressure = point->bubble;
    for (const auto& b : classes) {
        if (!inside(*b.terms, pressure)) continue;
        PressureClassFact out{b.terms->pressure_class, pressure, std::nullopt, b.rule};
        if (near(b.terms->above, pressure))
            out.near = static_cast<PressureClass>(static_cast<int>(out.pressure_class) - 1);
        if (near(b.terms->up_to, pressure))
            out.near = static_cast<PressureClass>(static_cast<int>(out.pressure_class) + 1);
        return out;
    }
    return unknown("no pack has the classes");
}

Result<std::optional<EvacuationNeed>> evacuation_need(RulePacks packs, const RuleSubject& subject,
                                                      std::optional<Date> machine_made, Date on) {
    if (!subject.refrigerant || matching<terms::EvacuationLevel>(packs, subject, on).empty()) {
        auto any_charge = subject;
        any_charge.full_charge = Mass::from_count(1);
        if (!subject.refrigerant || matching<terms::EvacuationLevel>(packs, any_charge, on).empty())
            return std::optional<EvacuationNeed>();
    }
    if (exempt_substitute(packs, subject, on)) return std::optional<EvacuationNeed>();
    if (const auto small = small_appliance_rule(packs, subject, machine_made, on)) {
        EvacuationNeed out;
        out.small_appliance = true;
        out.match = *small;
        out.level = small->as<terms::SmallApplianceRecovery>().or_vacuum;
        out.machine_date_unknown = !machine_made;
        out.exceptions = matching<terms::EvacuationException>(packs, subject, on);
        return std::optional(out);
    }
    const auto fact = pressure_class(packs, *subject.refrigerant);
    if (!fact) return fail(fact.error());
    auto row = strictest(packs, subject, fact->pressure_class, machine_made, on);
    if (!row) return std::optional<EvacuationNeed>();
    EvacuationNeed out;
    out.pressure_class = *fact;
    if (fact->near)
        if (const auto other = strictest(packs, subject, *fact->near, machine_made, on))
            if (absolute_of(other->as<terms::EvacuationLevel>().level) <
                absolute_of(row->as<terms::EvacuationLevel>().level)) {
                row = other;
                out.stricter_of_two = true;
            }
    out.match = *row;
    out.level = row->as<terms::EvacuationLevel>().level;
    const auto& chosen = row->as<terms::EvacuationLevel>();
    out.machine_date_unknown = !machine_made && (chosen.machine_from || chosen.machine_before);
    out.full_charge_unknown = !subject.full_charge && (row->rule->full_charge_from || row->rule->full_charge_below);
    out.exceptions = matching<terms::EvacuationException>(packs, subject, on);
    return std::optional(out);
}

AbsolutePressure absolute_of(const PressureLevel& level) {
    if (const auto* absolute = std::get_if<AbsolutePressure>(&level)) return *absolute;
    constexpr double reference_inhg = 29.9;
    return AbsolutePressure::kilopascals((reference_inhg - std::get<GaugePressure>(level).in_inhg_vacuum()) *
                                         AbsolutePressure::kpa_per_inhg);
}

std::string level_text(const PressureLevel& level, DisplayUnits units) {
    const bool metric = units == DisplayUnits::kg;
    if (const auto* absolute = std::get_if<AbsolutePressure>(&level)) {
        if (metric) return fmt::format("{:.1f} mbar absolute", absolute->in_kilopascals() * 10);
        return fmt::format("{:g} mmHg absolute", std::round(absolute->in_microns()) / 1000.0);
    }
    if (metric) {
        // down to the hundredth: what is shown is never less of a vacuum than the level
        const double bar = std::floor(std::get<GaugePressure>(level).in_kilopascals() + 1e-6) / 100;
        return bar == 0 ? std::string("0 barg") : fmt::format("{:.2f} barg", bar);
    }
    const double inhg = std::round(std::get<GaugePressure>(level).in_inhg_vacuum() * 1000.0) / 1000.0;
    if (inhg == 0) return "0 inHg vacuum (0 psig)";
    return fmt::format("{:g} inHg vacuum", inhg);
}

bool reaches_level(const PressureReading& got, const PressureLevel& level, AbsolutePressure ambient) {
    // Both sides come from decimal inches of mercury: a billionth of an atmosphere is rounding and no real difference.
    constexpr double rounding_kpa = 1e-7;
    const auto reading = got.absolute(ambient).in_kilopascals();
    const auto* gauge = std::get_if<GaugePressure>(&level);
    const auto needed = gauge ? absolute(*gauge, ambient) : std::get<AbsolutePressure>(level);
    return reading <= needed.in_kilopascals() + rounding_kpa;
}

}  // namespace tarebook
