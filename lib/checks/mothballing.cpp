// Whether an appliance that was shut down for a time was evacuated first: 40 CFR 82.152, mothball (from memory).
#include <fmt/format.h>

#include "all_checks.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/rules/evacuation.hpp"

namespace tarebook::checks {

Findings mothball_not_evacuated(const Context& c) {
    const auto* k = c.as<kinds::Mothball>();
    if (!k || k->ended || !k->pressure) return {};
    const auto got = parse_pressure(*k->pressure);
    if (!got || reaches_level(*got, PressureLevel(GaugePressure::psig(0)), standard_atmosphere())) return {};
    const auto subject = subject_of(c.data.catalogue, c.reg, k->appliance, c.order);
    if (!subject) return {};
    const auto named = packs_of_site(c.data.rules, c.reg.find(EntryKind::site, site_of(k->appliance)), c.order);
    const auto rule = first_matching<terms::Mothballing>(named.packs, *subject, c.event.when.date());
    if (!rule) return {};
    return {about(
        k->appliance,
        fmt::format(
            "{} was left at {}: a mothballed appliance is evacuated to the atmosphere's pressure or lower ({}, {})",
            k->appliance, *k->pressure, rule->rule->clause, tarebook::text_of(rule->status())),
        *k->pressure, c.reg.units == DisplayUnits::kg ? "0 barg at most" : "0 psig at most",
        "evacuate it, then record that it is mothballed")};
}

}  // namespace tarebook::checks
