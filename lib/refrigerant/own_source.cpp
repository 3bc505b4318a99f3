#include "own_source.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <optional>
#include <set>

#include "checked_yaml.hpp"
#include "compiled_refrigerants.hpp"
#include "own_table.hpp"
#include "refrigerant_fields.hpp"

namespace tarebook::catalogue {
namespace {

constexpr std::size_t most_bytes = 1024 * 1024;
constexpr std::size_t most_refrigerants = 100;
constexpr std::size_t most_rows = 500;
constexpr std::size_t longest_text = 300;

void in_range(const CheckedMap& map, std::string_view key, double least, double most) {
    if (!map.has(key)) return;
    const double value = map.number(key);
    if (!(value >= least && value <= most)) map.bad(key, fmt::format("expected {:g} to {:g}", least, most));
}

std::string short_text(const CheckedMap& map, std::string_view key) {
    auto text = map.text(key);
    if (text.size() > longest_text) map.bad(key, fmt::format("is longer than {} bytes", longest_text));
    return text;
}

SourceRow read_row(const CheckedMap& entry, const YAML::Node& node) {
    const auto bad = [&](const std::string& why) { entry.bad(node, "table", why); };
    if (!node.IsSequence() || node.size() != 5) bad("expected [C, kPa bubble, kPa dew, kg/m3 liquid, kg/m3 vapour]");
    std::array<double, 5> v{};
    for (std::size_t i = 0; i < v.size(); ++i) {
        const auto value = node[i].IsScalar() ? decimal_number(node[i].Scalar()) : std::nullopt;
        if (!value) bad(fmt::format("value {} is not a number", i + 1));
        v[i] = value.value_or(0);
        if (std::abs(v[i]) > 1e6) bad(fmt::format("value {} is too large", i + 1));
    }
    if (v[0] < -200) bad("t_c: colder than -200 C");
    return {v[0], v[1], v[2], v[3], v[4]};
}

void read_table(const CheckedMap& entry, OwnSource& own) {
    const auto table = entry.required("table");
    if (!table.IsSequence()) entry.bad("table", "expected a list of rows");
    if (table.size() < 3) entry.bad("table", "expected at least three rows");
    if (table.size() > most_rows) entry.bad(table[most_rows], "table", fmt::format("more than {} rows", most_rows));
    for (const auto& node : table) {
        const auto row = read_row(entry, node);
        check_row(own.rows.empty() ? nullptr : &own.rows.back(), row, [&](const char* column, const char* why) {
            entry.bad(node, "table", fmt::format("{}: {}", column, why));
        });
        own.rows.push_back(row);
    }
    check_own_table(own, {[&](std::size_t row, const std::string& why) { entry.bad(table[row], "table", why); },
                          [&](const std::string& why) { entry.bad("table", why); },
                          [&](const char* key, const std::string& why) { entry.bad(key, why); }});
}

OwnSource read_own(const CheckedMap& entry, const std::string& designation) {
    for (const char* key : {"class", "shipping_name", "notes"})
        if (entry.has(key)) (void)short_text(entry, key);
    in_range(entry, "molar_mass_g_mol", 1, 1000);
    for (const char* key : {"gwp_ar4", "gwp_eu_2024_573", "gwp_ar5"}) in_range(entry, key, 0, 100'000);
    in_range(entry, "odp", 0, 100);
    in_range(entry, "un_number", 0, 9999);
    in_range(entry, "nbp_c", -273, 500);
    in_range(entry, "tc_c", -273, 500);
    in_range(entry, "pc_kpa", 1, 100'000);
    in_range(entry, "critical_c", -200, 500);
    // Every table has an uncertainty.
    for (const char* key : {"p_uncertainty_pct", "rho_uncertainty_pct"}) in_range(entry, key, 0.01, 50);
    OwnSource own{read_refrigerant(entry, designation),
                  entry.number("critical_c"),
                  entry.number("p_uncertainty_pct"),
                  entry.number("rho_uncertainty_pct"),
                  {}};
    if (const auto& accepted = own.refrigerant.tc_c; accepted && std::abs(*accepted - own.critical_c) > 5)
        entry.bad("tc_c", "is more than 5 K away from critical_c");
    // The class of each component decides which rules apply.
    const auto& all = refrigerants;
    if (std::none_of(all.begin(), all.end(), [&](const auto& r) { return r.class_name == own.refrigerant.class_name; }))
        entry.bad("class", "is not a class of the catalogue, such as HFC, HFO, HFC blend or natural (HC)");
    read_table(entry, own);
    return own;
}

// Refuses a name of the catalogue, a short form of one, and one cut short: R-404 is typed for R-404A.
void check_name(const CheckedMap& all, const std::string& designation) {
    check_designation(all, designation);
    const auto bare = bare_designation(designation);
    if (bare.empty()) all.bad(designation, "is too long for a designation");
    for (const auto& known : refrigerants) {
        const auto other = bare_designation(known.designation);
        if (other == bare) all.bad(designation, fmt::format("the catalogue has it already: {}", known.designation));
        const bool cut_short = other.starts_with(bare) && other.find_first_of("0123456789", bare.size()) == other.npos;
        if (cut_short) all.bad(designation, fmt::format("is {} of the catalogue, cut short", known.designation));
    }
}

void check_components(const CheckedMap& entry, const SourceRefrigerant& r, const std::set<std::string>& in_file) {
    const CheckedMap parts(entry.file(), entry.path_of("composition"), entry.required("composition"), {});
    const bool pure = r.composition.size() == 1;
    for (const auto& part : r.composition) {
        const bool itself = part.designation == r.designation;
        if (itself && !pure) parts.bad(part.designation, "a blend cannot be a part of itself");
        const bool known = std::any_of(refrigerants.begin(), refrigerants.end(),
                                       [&](const auto& other) { return other.designation == part.designation; });
        if (!known && !in_file.contains(part.designation))
            parts.bad(part.designation, "is neither in the catalogue nor in this file");
    }
    if (pure && r.class_name.ends_with(" blend")) entry.bad("class", "a blend has more than one component");
}

}  // namespace

OwnFile read_own_refrigerants(const std::string& file) {
    auto fields = refrigerant_fields();
    fields.insert(fields.end(), {"critical_c", "p_uncertainty_pct", "rho_uncertainty_pct", "table"});
    const CheckedMap document(file, "", load_yaml(file, most_bytes), {"source", "edition", "date", "refrigerants"});
    OwnFile own{short_text(document, "source"), short_text(document, "edition"), short_text(document, "date"), {}};
    const auto entries = document.required("refrigerants");
    if (!entries.IsMap()) document.bad("refrigerants", "expected a map");
    const CheckedMap all(file, "refrigerants", entries, {});
    std::set<std::string> names;
    std::set<std::string> bare_names;
    all.each([&](const std::string& designation, const YAML::Node&) {
        check_name(all, designation);
        if (!bare_names.insert(bare_designation(designation)).second)
            all.bad(designation, "another one of this file differs only in how it is written");
        if (names.size() == most_refrigerants) all.bad(designation, "more than a hundred refrigerants");
        names.insert(designation);
    });
    if (names.empty()) document.bad("refrigerants", "expected at least one");
    all.each([&](const std::string& designation, const YAML::Node& node) {
        const CheckedMap entry(file, all.path_of(designation), node, fields);
        own.refrigerants.push_back(read_own(entry, designation));
        check_components(entry, own.refrigerants.back().refrigerant, names);
    });
    return own;
}

}  // namespace tarebook::catalogue
