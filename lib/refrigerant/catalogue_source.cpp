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
#include "refrigerant_fields.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::catalogue {
namespace {

// Reads the head that both files share: what they are, edition and day.
CheckedMap open_document(const std::string& file, std::vector<std::string_view> data_keys) {
    data_keys.insert(data_keys.end(), {"source", "edition", "date"});
    const CheckedMap document(file, "", load_yaml(file), data_keys);
    for (const char* key : {"source", "edition", "date"}) (void)document.text(key);
    return document;
}

void read_refrigerants(const std::string& file, Source& source) {
    const auto document = open_document(file, {"refrigerants"});
    const CheckedMap all(file, "refrigerants", document.required("refrigerants"), {});
    all.each([&](const std::string& designation, const YAML::Node& node) {
        check_designation(all, designation);
        source.refrigerants.push_back(
            read_refrigerant(CheckedMap(file, all.path_of(designation), node, refrigerant_fields()), designation));
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
            // A cylinder with an unknown mark gets the lowest one, so it must be first.
            if (*g.percent <= last || *g.percent > 200)
                grade.bad("percent", "must rise from grade to grade, up to 200");
            last = *g.percent;
        }
        for (const auto& mark : grade.list("marks")) {
            const auto split = split_mark(mark);
            if (!split) grade.bad("marks", fmt::format("\"{}\" is not a specification mark", mark));
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
        entry.not_negative(key);
    if (r.p_55c_psig.has_value() != r.min_service_pressure_psig.has_value())
        entry.bad("p_55c_psig", "comes together with min_service_pressure_psig");
    // 49 CFR 173.301a(d): the service pressure follows from the pressure at 55 C, printed to 0.1 psi.
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
        line += ',';
        const auto cells = split(line, ',');
        if (cells.size() != v.size()) bad(columns.back(), "expected five columns");
        for (std::size_t i = 0; i < v.size(); ++i) {
            const auto value = decimal_number(cells[i]);
            if (!value) bad(columns[i], "is not a number");
            v[i] = *value;
        }
        const SourceRow row{v[0], v[1], v[2], v[3], v[4]};
        check_row(rows.empty() ? nullptr : &rows.back(), row, bad);
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
        // Precondition of a table: a Tc, because density between its rows is a curve in (1 - T/Tc).
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
