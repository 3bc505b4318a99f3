#include "own_refrigerants.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "checked_yaml.hpp"
#include "own_source.hpp"
#include "own_table.hpp"

namespace tarebook {
namespace {

using namespace catalogue;

std::optional<Temperature> celsius(std::optional<double> c) {
    if (!c) return std::nullopt;
    return Temperature::celsius(*c);
}

// The bubble pressure at 55 C, and the service pressure by 49 CFR 173.301a(d). Every fill within the limits leaves
// vapour at 55 C, so it has this pressure. A gas without liquid there has no figure: its pressure follows from the
// fill.
CylinderPressure cylinder_pressure(const Refrigerant& r, const OwnSource& own) {
    CylinderPressure p;
    p.pressure_uncertainty_percent = own.p_uncertainty_pct;
    p.density_uncertainty_percent = own.rho_uncertainty_pct;
    p.no_liquid_at_25c = own.critical_c <= 25;
    p.no_liquid_at_55c = gas_alone_at_55c(own);
    const auto at_25c = saturation_at(r, Temperature::celsius(25));
    const auto at_55c = saturation_at(r, Temperature::celsius(55));
    if (!at_25c || !at_55c) return p;
    const double filled = 0.8 * at_25c->liquid.in_kg_per_m3();
    const bool full_at_55c = filled >= at_55c->liquid.in_kg_per_m3();
    // If the table ends before 60 C, the margin counts as thin.
    const auto at_60c = saturation_at(r, Temperature::celsius(60));
    p.thin_margin = !full_at_55c && (!at_60c || filled >= at_60c->liquid.in_kg_per_m3());
    p.at_55c = gauge(at_55c->bubble, standard_atmosphere());
    p.min_service = GaugePressure::kilopascals(p.at_55c->in_kilopascals() / 1.25);
    return p;
}

Refrigerant made_from(OwnFigures& k, const OwnFile& file) {
    const auto& s = k.own.refrigerant;
    for (const auto& part : s.composition) k.composition.push_back({part.designation, part.percent});
    k.verified.assign(s.verified.begin(), s.verified.end());
    for (const auto& row : k.own.rows)
        k.rows.push_back({Temperature::celsius(row.t_c), AbsolutePressure::kilopascals(row.bubble_kpa),
                          AbsolutePressure::kilopascals(row.dew_kpa), Density::kg_per_m3(row.liquid),
                          Density::kg_per_m3(row.vapor)});
    const auto critical = Temperature::celsius(k.own.critical_c);
    k.nodes = saturation_nodes(k.rows, critical);
    k.method = fmt::format("your own file: {}; {}; {}", file.source, file.edition, file.date);
    Refrigerant r{.designation = s.designation,
                  .class_name = s.class_name,
                  .composition = k.composition,
                  .safety_group = s.safety_group,
                  .molar_mass_g_mol = s.molar_mass_g_mol,
                  .gwp_ar4 = s.gwp_ar4,
                  .gwp_eu_2024_573 = s.gwp_eu_2024_573,
                  .gwp_ar5 = s.gwp_ar5,
                  .odp = s.odp,
                  .un_number = s.un_number,
                  .hazard_class = s.hazard_class,
                  .shipping_name = s.shipping_name,
                  .boiling = celsius(s.nbp_c),
                  .critical = celsius(s.tc_c),
                  .critical_pressure = std::nullopt,
                  .eu_ozone_depleting = s.eu_ozone_depleting,
                  .notes = s.notes,
                  .verified_fields = k.verified,
                  .saturation = {critical, k.rows, k.nodes, {k.method, {}, {}, {}}},
                  .cylinder = std::nullopt,
                  .filling_densities = {},
                  .from_own_file = true};
    if (s.pc_kpa) r.critical_pressure = AbsolutePressure::kilopascals(*s.pc_kpa);
    r.cylinder = cylinder_pressure(r, k.own);
    return r;
}

}  // namespace

Result<Catalogue> Catalogue::with_own(const std::string& file) {
    try {
        auto read = read_own_refrigerants(file);
        auto own = std::make_shared<Own>();
        own->refrigerants.reserve(read.refrigerants.size());  // no entry is moved: a blend points to its parts
        for (auto& one : read.refrigerants) {
            auto& figures = own->figures.emplace_back(OwnFigures{std::move(one), {}, {}, {}, {}, {}});
            own->refrigerants.push_back(made_from(figures, read));
        }
        const Catalogue all(own);
        for (auto& figures : own->figures)
            for (auto& part : figures.composition) part.entry = all.find(part.designation);
        return all;
    } catch (const BadSource& e) {
        return usage("refrigerants-file", e.what(), file, "a file of refrigerants in the form that README.md names",
                     "mend the file; nothing of it was taken");
    }
}

}  // namespace tarebook
