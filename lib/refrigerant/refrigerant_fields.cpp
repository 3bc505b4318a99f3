#include "refrigerant_fields.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <regex>

namespace tarebook::catalogue {
namespace {

void one_of(const CheckedMap& map, std::string_view key, std::initializer_list<std::string_view> allowed) {
    const auto value = map.text(key);
    if (std::find(allowed.begin(), allowed.end(), value) == allowed.end())
        map.bad(key, fmt::format("\"{}\" is not one of the values that are known here", value));
}

const std::vector<std::string_view> fields = {
    "class",   "composition",   "safety_group", "molar_mass_g_mol", "gwp_ar4", "gwp_eu_2024_573",
    "gwp_ar5", "odp",           "un_number",    "hazard_class",     "nbp_c",   "tc_c",
    "pc_kpa",  "shipping_name", "status",       "verified",         "notes",   "eu_ozone_depleting"};

std::vector<SourceComponent> read_composition(const CheckedMap& entry) {
    const CheckedMap parts(entry.file(), entry.path_of("composition"), entry.required("composition"), {});
    std::vector<SourceComponent> composition;
    long thousandths = 0;
    parts.each([&](const std::string& component, const YAML::Node&) {
        const double percent = parts.number(component);
        if (std::abs(percent) > 1000) parts.bad(component, "is not a share in percent");
        // In whole thousandths of a per cent, because 1.2 + 3.4 in binary is not 4.6.
        const long here = std::lround(percent * 1000);
        if (here <= 0) parts.bad(component, "the share of a component is above zero");
        if (std::abs(percent * 1000 - static_cast<double>(here)) > 1e-6)
            parts.bad(component, "finer than a thousandth of a per cent");
        thousandths += here;
        composition.push_back({component, percent});
    });
    if (thousandths != 100'000)
        entry.bad("composition",
                  fmt::format("sums to {}.{:03} %, expected 100 %", thousandths / 1000, thousandths % 1000));
    return composition;
}

}  // namespace

std::vector<std::string_view> refrigerant_fields() {
    return fields;
}

SourceRefrigerant read_refrigerant(const CheckedMap& entry, const std::string& designation) {
    one_of(entry, "safety_group", {"A1", "A2L", "A2", "A3", "B1", "B2L", "B2", "B3"});
    one_of(entry, "status", {"memory", "verified"});
    if (entry.has("hazard_class"))
        one_of(entry, "hazard_class", {"2.1", "2.2", "2.3", "3", "2.2 within the US, 2.3 elsewhere"});
    for (const char* key : {"gwp_ar4", "gwp_eu_2024_573", "gwp_ar5", "odp", "un_number", "pc_kpa"})
        entry.not_negative(key);
    SourceRefrigerant r{};
    r.designation = designation;
    r.class_name = entry.text("class");
    r.composition = read_composition(entry);
    r.safety_group = entry.text("safety_group");
    r.molar_mass_g_mol = entry.number("molar_mass_g_mol");
    if (r.molar_mass_g_mol <= 0) entry.bad("molar_mass_g_mol", "must be positive");
    r.gwp_ar4 = entry.optional_number("gwp_ar4");
    r.gwp_eu_2024_573 = entry.optional_number("gwp_eu_2024_573");
    r.gwp_ar5 = entry.optional_number("gwp_ar5");
    r.odp = entry.optional_number("odp");
    r.un_number = entry.optional_integer("un_number");
    r.hazard_class = entry.text_or_empty("hazard_class");
    r.shipping_name = entry.text_or_empty("shipping_name");
    r.nbp_c = entry.optional_number("nbp_c");
    r.tc_c = entry.optional_number("tc_c");
    r.pc_kpa = entry.optional_number("pc_kpa");
    r.eu_ozone_depleting = entry.flag("eu_ozone_depleting");
    r.notes = entry.text_or_empty("notes");
    r.verified = entry.list("verified");
    for (const auto& field : r.verified) {
        if (std::find(fields.begin(), fields.end(), field) == fields.end())
            entry.bad("verified", fmt::format("{} is not a field of a refrigerant", field));
        if (!entry.has(field)) entry.bad("verified", fmt::format("{} has no value here", field));
    }
    return r;
}

void check_designation(const CheckedMap& all, const std::string& designation) {
    static const std::regex form("R-[0-9]+[A-Za-z0-9]*(\\([A-Z]\\))?");
    if (!std::regex_match(designation, form)) all.bad(designation, "is not written as a designation, R-448A");
}

void check_row(const SourceRow* last, const SourceRow& row,
               const std::function<void(const char* column, const char* why)>& bad) {
    if (row.bubble_kpa <= 0) bad("p_bubble_kpa", "must be positive");
    if (row.dew_kpa <= 0) bad("p_dew_kpa", "must be positive");
    if (row.liquid <= 0) bad("rho_liquid_kg_m3", "must be positive");
    if (row.vapor <= 0) bad("rho_vapor_kg_m3", "must be positive");
    if (row.vapor >= row.liquid) bad("rho_vapor_kg_m3", "is not below that of the liquid");
    if (row.dew_kpa > row.bubble_kpa) bad("p_dew_kpa", "is above the bubble pressure");
    if (!last) return;
    if (row.t_c <= last->t_c) bad("t_c", "must rise from row to row");
    if (row.bubble_kpa <= last->bubble_kpa) bad("p_bubble_kpa", "must rise from row to row");
    if (row.dew_kpa <= last->dew_kpa) bad("p_dew_kpa", "must rise from row to row");
    if (row.liquid >= last->liquid) bad("rho_liquid_kg_m3", "must fall from row to row");
    if (row.vapor <= last->vapor) bad("rho_vapor_kg_m3", "must rise from row to row");
}

}  // namespace tarebook::catalogue
