// Whether the type of the technician's certificate covers the appliance that was worked on: 40 CFR 82.161.
#include <fmt/format.h>

#include <algorithm>

#include "all_checks.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/rules/evacuation.hpp"

namespace tarebook::checks {
namespace {

std::string circuit_worked_on(const Context& c) {
    if (const auto* k = c.as<kinds::Recover>()) return k->circuit;
    if (const auto* k = put_of(c.event)) return k->from.starts_with("outside:") ? std::string() : k->circuit;
    return {};
}

bool is_covered(const terms::TechnicianType& type, const EvacuationNeed& appliance) {
    if (appliance.small_appliance) return type.small_appliances;
    const auto has = [&](PressureClass one) {
        return std::find(type.classes.begin(), type.classes.end(), one) != type.classes.end();
    };
    // Near a boundary of the classes the certificate for either class is enough.
    const auto& fact = appliance.pressure_class;
    return has(fact.pressure_class) || (fact.near && has(*fact.near));
}

}  // namespace

Findings certificate_type(const Context& c) {
    const auto circuit = circuit_worked_on(c);
    if (circuit.empty() || !c.event.by) return {};
    const auto* technician = c.reg.find(EntryKind::technician, *c.event.by);
    const auto type = technician ? technician->text("certificate_type", c.order) : std::nullopt;
    if (!type || *type == "universal") return {};
    const auto subject = subject_of(c.data.catalogue, c.reg, circuit, c.order);
    if (!subject) return {};
    const auto named = packs_of_site(c.data.rules, c.reg.find(EntryKind::site, site_of(circuit)), c.order);
    const auto day = c.event.when.date();
    const auto need = evacuation_need(named.packs, *subject, {}, day);
    if (!need || !*need) return {};
    std::string covering;
    std::optional<RuleMatch> spoke;
    for (const auto& m : matching<terms::TechnicianType>(named.packs, *subject, day)) {
        const auto& terms = m.as<terms::TechnicianType>();
        if (!spoke) spoke = m;
        if (!is_covered(terms, **need)) continue;
        if (terms.type == *type) return {};
        covering += terms.type + " or ";
    }
    if (!spoke) return {};
    const auto what = (*need)->small_appliance
                          ? std::string("a small appliance")
                          : fmt::format("{}-pressure", text_of((*need)->pressure_class.pressure_class));
    return {
        about(*c.event.by,
              fmt::format("{} worked on {}, {}; the certificate is of type {}, which does not cover it ({}, {})",
                          *c.event.by, circuit, what, *type, spoke->rule->clause, tarebook::text_of(spoke->status())),
              "type " + *type, "type " + covering + "universal",
              "where the type on record is wrong: `tarebook technician correct`; else send a technician whose "
              "certificate covers it")};
}

}  // namespace tarebook::checks
