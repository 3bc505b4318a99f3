#include "catalogue_source.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <regex>
#include <set>

#include "checked_yaml.hpp"
#include "provenance_source.hpp"

namespace tarebook::catalogue {
namespace {

// Both files open the same way: what they are, which edition, which day, then the data.
CheckedMap open_document(const std::string& file, std::vector<std::string_view> data_keys) {
    data_keys.insert(data_keys.end(), {"source", "edition", "date"});
    const CheckedMap document(file, "", load_yaml(file), data_keys);
    for (const char* key : {"source", "edition", "date"}) (void)document.text(key);
    return document;
}

void one_of(const CheckedMap& map, std::string_view key, std::initializer_list<std::string_view> allowed) {
    const auto value = map.text(key);
    if (std::find(allowed.begin(), allowed.end(), value) == allowed.end())
        map.bad(key, fmt::format("\"{}\" is not one of the values that are known here", value));
}

void not_negative(const CheckedMap& map, std::string_view key) {
    if (map.has(key) && map.number(key) < 0) map.bad(key, "must not be negative");
}

const std::vector<std::string_view> refrigerant_fields = {
    "class",   "composition",   "safety_group", "molar_mass_g_mol", "gwp_ar4", "gwp_eu_2024_573",
    "gwp_ar5", "odp",           "un_number",    "hazard_class",     "nbp_c",   "tc_c",
    "pc_kpa",  "shipping_name", "status",       "verified",         "notes",   "eu_ozone_depleting"};

std::vector<SourceComponent> read_composition(const CheckedMap& entry) {
    const CheckedMap parts(entry.file(), entry.path_of("composition"), entry.required("composition"), {});
    std::vector<SourceComponent> composition;
    long thousandths = 0;
    parts.each([&](const std::string& component, const YAML::Node&) {
        const double percent = parts.number(component);
        // Whole thousandths of a per cent, because 1.2 + 3.4 in binary is not 4.6.
        const long here = std::lround(percent * 1000);
        if (here <= 0) parts.bad(component, "a component has more than nothing");
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

SourceRefrigerant read_refrigerant(const CheckedMap& entry, const std::string& designation) {
    one_of(entry, "safety_group", {"A1", "A2L", "A2", "A3", "B1", "B2L", "B2", "B3"});
    one_of(entry, "status", {"memory", "verified"});
    if (entry.has("hazard_class")) one_of(entry, "hazard_class", {"2.1", "2.2", "2.3", "3"});
    for (const char* key : {"gwp_ar4", "gwp_eu_2024_573", "gwp_ar5", "odp", "un_number", "pc_kpa"})
        not_negative(entry, key);
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
        if (std::find(refrigerant_fields.begin(), refrigerant_fields.end(), field) == refrigerant_fields.end())
            entry.bad("verified", fmt::format("{} is no field of a refrigerant", field));
        if (!entry.has(field)) entry.bad("verified", fmt::format("{} has no value here", field));
    }
    return r;
}

void read_refrigerants(const std::string& file, Source& source) {
    const auto document = open_document(file, {"refrigerants"});
    const CheckedMap all(file, "refrigerants", document.required("refrigerants"), {});
    all.each([&](const std::string& designation, const YAML::Node& node) {
        static const std::regex form("R-[0-9]+[A-Za-z0-9]*(\\([A-Z]\\))?");
        if (!std::regex_match(designation, form)) all.bad(designation, "is not written as a designation, R-448A");
        source.refrigerants.push_back(
            read_refrigerant(CheckedMap(file, all.path_of(designation), node, refrigerant_fields), designation));
    });
    for (const auto& r : source.refrigerants)
        for (const auto& part : r.composition) {
            const bool known = std::any_of(source.refrigerants.begin(), source.refrigerants.end(),
                                           [&](const auto& other) { return other.designation == part.designation; });
            if (!known)
                all.bad(r.designation, fmt::format("composition: {} is not in the catalogue itself", part.designation));
        }
}

void known_refrigerant(const CheckedMap& map, const Source& source, const std::string& designation) {
    for (const auto& r : source.refrigerants)
        if (r.designation == designation) return;
    map.bad(designation, "is not in the catalogue of refrigerants");
}

SourceFilling read_filling(const CheckedMap& entry) {
    SourceFilling filling{entry.text("clause"), entry.text("status"), {}};
    const auto grades = entry.required("grades");
    if (!grades.IsSequence() || grades.size() == 0) entry.bad("grades", "expected a list");
    double last = 0;
    for (const auto& node : grades) {
        const CheckedMap grade(entry.file(), entry.path_of("grades"), node, {"percent", "marks"});
        SourceGrade g{grade.optional_number("percent"), {}};
        if (!g.percent && grades.size() > 1) grade.bad("percent", "missing required key");
        if (g.percent) {
            // The lowest one is taken where the mark is not known, so it has to stand first.
            if (*g.percent <= last || *g.percent > 200)
                grade.bad("percent", "must rise from grade to grade, up to 200");
            last = *g.percent;
        }
        for (const auto& mark : grade.list("marks")) {
            const auto split = split_mark(mark);
            if (!split) grade.bad("marks", fmt::format("\"{}\" is no specification mark", mark));
            g.marks.push_back(*split);
        }
        if (g.marks.empty()) grade.bad("marks", "expected a list");
        filling.grades.push_back(std::move(g));
    }
    return filling;
}

SourceRating read_rating(const CheckedMap& entry) {
    SourceRating r{};
    r.tc_c = entry.number("tc_c");
    if (r.tc_c <= -273.15) entry.bad("tc_c", "is below absolute zero");
    (void)entry.number("pc_kpa");
    r.p_55c_psig = entry.optional_number("p_55c_psig");
    r.min_service_pressure_psig = entry.optional_number("min_service_pressure_psig");
    r.p_uncertainty_pct = entry.number("p_uncertainty_pct");
    r.rho_uncertainty_pct = entry.number("rho_uncertainty_pct");
    for (const char* key : {"p_55c_psig", "min_service_pressure_psig", "p_uncertainty_pct", "rho_uncertainty_pct"})
        not_negative(entry, key);
    if (r.p_55c_psig.has_value() != r.min_service_pressure_psig.has_value())
        entry.bad("p_55c_psig", "comes together with min_service_pressure_psig");
    // 49 CFR 173.301a(d): the two figures are one, printed to 0.1 psi.
    if (r.p_55c_psig && std::abs(*r.p_55c_psig / 1.25 - *r.min_service_pressure_psig) > 0.11)
        entry.bad("min_service_pressure_psig", "is not p_55c_psig / 1.25");
    for (const auto& flag : entry.list("flags")) {
        if (flag == "tc-below-25")
            r.tc_below_25 = true;
        else if (flag == "tc-below-55")
            r.tc_below_55 = true;
        else if (flag == "thin-margin")
            r.thin_margin = true;
        else if (flag != "liquid-full-at-or-below-55")
            entry.bad("flags", fmt::format("unknown flag {}", flag));
    }
    if (r.tc_below_25 != (r.tc_c < 25) || r.tc_below_55 != (r.tc_c < 55)) entry.bad("flags", "do not agree with tc_c");
    return r;
}

std::vector<std::string> read_cylinder_fill(const std::string& file, Source& source) {
    const auto document = open_document(file, {"tables_without_refrigerant", "filling_densities", "ratings"});
    const CheckedMap fillings(file, "filling_densities", document.required("filling_densities"), {});
    fillings.each([&](const std::string& designation, const YAML::Node& node) {
        known_refrigerant(fillings, source, designation);
        source.fillings.emplace(designation, read_filling(CheckedMap(file, fillings.path_of(designation), node,
                                                                     {"clause", "status", "grades"})));
    });
    const CheckedMap ratings(file, "ratings", document.required("ratings"), {});
    ratings.each([&](const std::string& designation, const YAML::Node& node) {
        known_refrigerant(ratings, source, designation);
        source.ratings.emplace(designation,
                               read_rating(CheckedMap(file, ratings.path_of(designation), node,
                                                      {"tc_c", "pc_kpa", "p_55c_psig", "min_service_pressure_psig",
                                                       "p_uncertainty_pct", "rho_uncertainty_pct", "flags"})));
    });
    return document.list("tables_without_refrigerant");
}

constexpr const char* saturation_header = "t_c,p_bubble_kpa,p_dew_kpa,rho_liquid_kg_m3,rho_vapor_kg_m3";

std::vector<SourceRow> read_table(const std::string& file) {
    std::ifstream in(file);
    std::string line;
    if (!std::getline(in, line) || line != saturation_header)
        throw BadSource(fmt::format("{}:1: expected the header {}", file, saturation_header));
    static constexpr std::array<const char*, 5> columns = {"t_c", "p_bubble_kpa", "p_dew_kpa", "rho_liquid_kg_m3",
                                                           "rho_vapor_kg_m3"};
    std::vector<SourceRow> rows;
    for (int number = 2; std::getline(in, line); ++number) {
        auto bad = [&](const char* column, const char* why) {
            throw BadSource(fmt::format("{}:{}: {}: {}", file, number, column, why));
        };
        std::array<double, 5> v{};
        std::string_view rest = line;
        for (std::size_t i = 0; i < v.size(); ++i) {
            const auto comma = rest.find(',');
            if ((comma == std::string_view::npos) != (i + 1 == v.size())) bad(columns[i], "expected five columns");
            const auto value = decimal_number(rest.substr(0, comma));
            if (!value) bad(columns[i], "is no number");
            v[i] = *value;
            if (i > 0 && v[i] <= 0) bad(columns[i], "must be positive");
            if (comma != std::string_view::npos) rest.remove_prefix(comma + 1);
        }
        const SourceRow row{v[0], v[1], v[2], v[3], v[4]};
        if (row.dew_kpa > row.bubble_kpa) bad("p_dew_kpa", "is above the bubble pressure");
        if (!rows.empty()) {
            const auto& last = rows.back();
            if (row.t_c <= last.t_c) bad("t_c", "must rise from row to row");
            if (row.bubble_kpa <= last.bubble_kpa) bad("p_bubble_kpa", "must rise from row to row");
            if (row.dew_kpa <= last.dew_kpa) bad("p_dew_kpa", "must rise from row to row");
            if (row.liquid >= last.liquid) bad("rho_liquid_kg_m3", "must fall from row to row");
            if (row.vapor <= last.vapor) bad("rho_vapor_kg_m3", "must rise from row to row");
        }
        rows.push_back(row);
    }
    if (rows.size() < 3) throw BadSource(fmt::format("{}: expected at least three rows", file));
    return rows;
}

void read_saturation(const std::string& folder, const std::string& fill_file, const std::vector<std::string>& apart,
                     Source& source) {
    std::set<std::string> unseen(apart.begin(), apart.end());
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        if (entry.path().extension() != ".csv") continue;
        const auto file = entry.path().string();
        const auto designation = entry.path().stem().string();
        auto rows = read_table(file);
        if (unseen.erase(designation) > 0) continue;
        const bool known = std::any_of(source.refrigerants.begin(), source.refrigerants.end(),
                                       [&](const auto& r) { return r.designation == designation; });
        if (!known) throw BadSource(fmt::format("{}: {} is not in the catalogue of refrigerants", file, designation));
        const auto rating = source.ratings.find(designation);
        // Between the rows density is a curve in (1 - T/Tc): without Tc the table cannot be used.
        if (rating == source.ratings.end())
            throw BadSource(fmt::format("{}: ratings.{}: missing required key", fill_file, designation));
        if (rows.back().t_c >= rating->second.tc_c)
            throw BadSource(
                fmt::format("{}: ratings.{}.tc_c: is not above the last row of the table", fill_file, designation));
        source.saturation.emplace(designation, std::move(rows));
    }
    if (!unseen.empty())
        throw BadSource(
            fmt::format("{}: tables_without_refrigerant: there is no table {}", fill_file, *unseen.begin()));
    for (const auto& [designation, rating] : source.ratings)
        if (!source.saturation.contains(designation))
            throw BadSource(fmt::format("{}: ratings.{}: there is no table in {}", fill_file, designation, folder));
}

}  // namespace

std::optional<SourceMark> split_mark(const std::string& mark) {
    if (mark == "3" || mark == "39") return SourceMark{mark, std::nullopt};
    static const std::regex form("([0-9][A-Z]+)([0-9]{3,4})(ET)?");
    std::smatch m;
    if (!std::regex_match(mark, m, form)) return std::nullopt;
    return SourceMark{m[1].str() + m[3].str(), std::stoi(m[2].str())};
}

Source read_source(const std::string& refrigerants_yaml, const std::string& cylinder_fill_yaml,
                   const std::string& saturation_folder) {
    Source source;
    read_refrigerants(refrigerants_yaml, source);
    const auto apart = read_cylinder_fill(cylinder_fill_yaml, source);
    read_saturation(saturation_folder, cylinder_fill_yaml, apart, source);
    read_provenance(saturation_folder + "/provenance.yaml", source);
    return source;
}

}  // namespace tarebook::catalogue
