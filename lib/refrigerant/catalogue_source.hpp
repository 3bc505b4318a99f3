// The contents of the schema files after every check. Exists only while building.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace tarebook::catalogue {

struct SourceComponent {
    std::string designation;
    double percent;
};

struct SourceRefrigerant {
    std::string designation;
    std::string class_name;
    std::vector<SourceComponent> composition;
    std::string safety_group;
    double molar_mass_g_mol;
    std::optional<double> gwp_ar4, gwp_eu_2024_573, gwp_ar5, odp;
    std::optional<int> un_number;
    std::string hazard_class, shipping_name;
    std::optional<double> nbp_c, tc_c, pc_kpa;
    bool eu_ozone_depleting;
    std::string notes;
    std::vector<std::string> verified;
};

struct SourceMark {
    std::string type;
    std::optional<int> psig;
};
struct SourceGrade {
    std::optional<double> percent;
    std::vector<SourceMark> marks;
};
struct SourceFilling {
    std::string clause, status;
    std::vector<SourceGrade> grades;
};
struct SourceRating {
    double tc_c;
    std::optional<double> p_55c_psig, min_service_pressure_psig;
    double p_uncertainty_pct, rho_uncertainty_pct;
    bool tc_below_25, tc_below_55, thin_margin;
};

struct SourceRow {
    double t_c, bubble_kpa, dew_kpa, liquid, vapor;
};

struct SourceFluid {
    std::string component, equation;
};
struct SourcePair {
    std::string first, second, source;
    bool estimated;
    std::string effect;
};
struct SourceProvenance {
    std::vector<SourceFluid> fluids;
    std::vector<SourcePair> pairs;
    std::string remark;
};

struct Source {
    std::vector<SourceRefrigerant> refrigerants;
    std::map<std::string, SourceFilling> fillings;
    std::map<std::string, SourceRating> ratings;
    std::map<std::string, std::vector<SourceRow>> saturation;
    std::string method;
    std::map<std::string, SourceProvenance> provenance;  ///< one entry for each table
};

/// Throws BadSource with file, line and key at the first error.
Source read_source(const std::string& refrigerants_yaml, const std::string& cylinder_fill_yaml,
                   const std::string& saturation_folder);

/// "4BA240" as type and pressure; empty if the mark has another form.
std::optional<SourceMark> split_mark(const std::string& mark);

}  // namespace tarebook::catalogue
