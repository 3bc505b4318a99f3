// Turns schema/ into one source file of constant tables, so that the program needs no parser for its catalogue and no
// work at its start. Runs while building; an error in the data stops the build.
//
//     compile_catalogue REFRIGERANTS.yaml CYLINDER-FILL.yaml SATURATION-FOLDER OUT.cpp
#include <fmt/format.h>

#include <cstdio>
#include <exception>
#include <fstream>
#include <iterator>

#include "catalogue_source.hpp"
#include "tarebook/refrigerant/saturation.hpp"

namespace tarebook::catalogue {
namespace {

// A literal that is a double in C++ too: 100 becomes 100.0.
std::string real(double v) {
    auto text = fmt::format("{}", v);
    if (text.find_first_of(".e") == std::string::npos) text += ".0";
    return text;
}
std::string real(std::optional<double> v) {
    return v ? real(*v) : "std::nullopt";
}
std::string whole(std::optional<int> v) {
    return v ? fmt::format("{}", *v) : "std::nullopt";
}
std::string made(const char* maker, std::optional<double> v) {
    return v ? fmt::format("{}({})", maker, real(*v)) : "std::nullopt";
}
std::string quoted(const std::string& text) {
    std::string out = "\"";
    for (char c : text) {
        if (c == '"' || c == '\\') out += '\\';
        out += c;
    }
    return out + '"';
}
const char* truth(bool v) {
    return v ? "true" : "false";
}

class Writer {
 public:
    explicit Writer(const Source& source) : source_(source) {}

    std::string write() {
        out_ =
            "// Generated from schema/ by compile_catalogue. Do not edit.\n"
            "#include \"refrigerant/compiled_refrigerants.hpp\"\n\n"
            "namespace tarebook::catalogue {\nnamespace {\n\n"
            "constexpr auto C = Temperature::celsius;\nconstexpr auto kPa = AbsolutePressure::kilopascals;\n"
            "constexpr auto psig = GaugePressure::psig;\nconstexpr auto kg_m3 = Density::kg_per_m3;\n\n";
        add("constexpr std::string_view method = {};\n\n", quoted(source_.method));
        // A component points to its entry, so all are declared before the first composition.
        add("extern const Refrigerant all[{}];\n\n", source_.refrigerants.size());
        for (std::size_t i = 0; i < source_.refrigerants.size(); ++i) arrays(i);
        add("constinit const Refrigerant all[] = {{\n");
        for (std::size_t i = 0; i < source_.refrigerants.size(); ++i) entry(i);
        add("}};\n\n}}  // namespace\n\nconstinit const std::span<const Refrigerant> refrigerants{{all}};\n\n");
        add("}}  // namespace tarebook::catalogue\n");
        return std::move(out_);
    }

 private:
    template <class... Args>
    void add(fmt::format_string<Args...> format, Args&&... args) {
        fmt::format_to(std::back_inserter(out_), format, std::forward<Args>(args)...);
    }

    void arrays(std::size_t i) {
        const auto& r = source_.refrigerants[i];
        add("// {}\nconstexpr Component composition_{}[] = {{", r.designation, i);
        for (const auto& c : r.composition)
            add("{{{}, {}, {}}}, ", quoted(c.designation), real(c.percent), address(c.designation));
        add("}};\n");
        if (!r.verified.empty()) {
            add("constexpr std::string_view verified_{}[] = {{", i);
            for (const auto& field : r.verified) add("{}, ", quoted(field));
            add("}};\n");
        }
        if (source_.saturation.contains(r.designation)) saturation(i, r.designation);
        if (const auto filling = source_.fillings.find(r.designation); filling != source_.fillings.end())
            grades(i, filling->second);
        add("\n");
    }

    [[nodiscard]] std::string address(const std::string& designation) const {
        for (std::size_t i = 0; i < source_.refrigerants.size(); ++i)
            if (source_.refrigerants[i].designation == designation) return fmt::format("&all[{}]", i);
        return "nullptr";
    }

    // Writes the rows of a table and the curve through them, so that the program fits nothing at its start.
    void saturation(std::size_t i, const std::string& designation) {
        std::vector<SaturationRow> rows;
        add("constexpr SaturationRow rows_{}[] = {{\n", i);
        for (const auto& row : source_.saturation.at(designation)) {
            add("    {{C({}), kPa({}), kPa({}), kg_m3({}), kg_m3({})}},\n", real(row.t_c), real(row.bubble_kpa),
                real(row.dew_kpa), real(row.liquid), real(row.vapor));
            rows.push_back({Temperature::celsius(row.t_c), AbsolutePressure::kilopascals(row.bubble_kpa),
                            AbsolutePressure::kilopascals(row.dew_kpa), Density::kg_per_m3(row.liquid),
                            Density::kg_per_m3(row.vapor)});
        }
        add("}};\nconstexpr SaturationNode nodes_{}[] = {{\n", i);
        for (const auto& n : saturation_nodes(rows, Temperature::celsius(source_.ratings.at(designation).tc_c)))
            add("    {{{}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}}},\n", real(n.kelvin), real(n.inverse_kelvin),
                real(n.distance), real(n.ln_dew), real(n.ln_dew_slope), real(n.gap), real(n.gap_slope), real(n.liquid),
                real(n.liquid_slope), real(n.ln_vapor), real(n.ln_vapor_slope));
        add("}};\n");
        const auto& p = source_.provenance.at(designation);
        add("constexpr FluidSource fluids_{}[] = {{\n", i);
        for (const auto& f : p.fluids) add("    {{{}, {}}},\n", quoted(f.component), quoted(f.equation));
        add("}};\n");
        if (p.pairs.empty()) return;
        add("constexpr PairSource pairs_{}[] = {{\n", i);
        for (const auto& pair : p.pairs)
            add("    {{{}, {}, {}, {}, {}}},\n", quoted(pair.first), quoted(pair.second), quoted(pair.source),
                truth(pair.estimated), quoted(pair.effect));
        add("}};\n");
    }

    void grades(std::size_t i, const SourceFilling& filling) {
        for (std::size_t g = 0; g < filling.grades.size(); ++g) {
            add("constexpr ListedMark marks_{}_{}[] = {{", i, g);
            for (const auto& mark : filling.grades[g].marks) add("{{{}, {}}}, ", quoted(mark.type), whole(mark.psig));
            add("}};\n");
        }
        add("constexpr FillingDensity filling_{}[] = {{\n", i);
        for (std::size_t g = 0; g < filling.grades.size(); ++g)
            add("    {{{}, marks_{}_{}, {}, {}}},\n", real(filling.grades[g].percent), i, g, quoted(filling.clause),
                quoted(filling.status));
        add("}};\n");
    }

    void entry(std::size_t i) {
        const auto& r = source_.refrigerants[i];
        add("    {{.designation = {},\n     .class_name = {},\n     .composition = composition_{},\n",
            quoted(r.designation), quoted(r.class_name), i);
        add("     .safety_group = {},\n     .molar_mass_g_mol = {},\n", quoted(r.safety_group),
            real(r.molar_mass_g_mol));
        add("     .gwp_ar4 = {},\n     .gwp_eu_2024_573 = {},\n     .gwp_ar5 = {},\n     .odp = {},\n", real(r.gwp_ar4),
            real(r.gwp_eu_2024_573), real(r.gwp_ar5), real(r.odp));
        add("     .un_number = {},\n     .hazard_class = {},\n     .shipping_name = {},\n", whole(r.un_number),
            quoted(r.hazard_class), quoted(r.shipping_name));
        add("     .boiling = {},\n     .critical = {},\n     .critical_pressure = {},\n", made("C", r.nbp_c),
            made("C", r.tc_c), made("kPa", r.pc_kpa));
        add("     .eu_ozone_depleting = {},\n     .notes = {},\n     .verified_fields = {},\n",
            truth(r.eu_ozone_depleting), quoted(r.notes), r.verified.empty() ? "{}" : fmt::format("verified_{}", i));
        const auto rating = source_.ratings.find(r.designation);
        if (rating == source_.ratings.end()) {
            add("     .saturation = {{C(0.0), {{}}, {{}}, {{}}}},\n     .cylinder = std::nullopt,\n");
        } else {
            const auto& p = rating->second;
            const auto& from = source_.provenance.at(r.designation);
            add("     .saturation = {{C({}), rows_{}, nodes_{}, {{method, fluids_{}, {}, {}}}}},\n", real(p.tc_c), i, i,
                i, from.pairs.empty() ? "{}" : fmt::format("pairs_{}", i), quoted(from.remark));
            add("     .cylinder = CylinderPressure{{{}, {}, {}, {}, {}, {}, {}}},\n", made("psig", p.p_55c_psig),
                made("psig", p.min_service_pressure_psig), real(p.p_uncertainty_pct), real(p.rho_uncertainty_pct),
                truth(p.tc_below_25), truth(p.tc_below_55), truth(p.thin_margin));
        }
        const bool filling = source_.fillings.contains(r.designation);
        add("     .filling_densities = {}}},\n", filling ? fmt::format("filling_{}", i) : "{}");
    }

    const Source& source_;
    std::string out_;
};

}  // namespace
}  // namespace tarebook::catalogue

int main(int argc, char** argv) {
    using namespace tarebook::catalogue;
    if (argc != 5) {
        std::fputs("usage: compile_catalogue REFRIGERANTS.yaml CYLINDER-FILL.yaml SATURATION-FOLDER OUT.cpp\n", stderr);
        return 2;
    }
    try {
        const auto text = Writer(read_source(argv[1], argv[2], argv[3])).write();
        std::ofstream out(argv[4], std::ios::binary);
        out << text;
        out.close();
        if (!out) {
            fmt::print(stderr, "{}: cannot be written\n", argv[4]);
            return 1;
        }
    } catch (const std::exception& e) {
        fmt::print(stderr, "{}\n", e.what());
        return 1;
    }
    return 0;
}
