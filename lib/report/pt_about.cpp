// tarebook pt R --about: what the figures rest on, and for a refrigerant without a table what cannot be computed.
#include <fmt/format.h>

#include "columns.hpp"
#include "layout.hpp"
#include "pressure_text.hpp"
#include "shared_text.hpp"
#include "tarebook/report/pt_page.hpp"

namespace tarebook {
namespace report {
namespace {

constexpr const char* no_table =
    "no table: no saturation pressure, density, liquid-full temperature, air check or service pressure can be "
    "computed. "
    "Fill limits fall back to the rule for unknown contents (room shows it); read the maker's own chart for the rest";

constexpr const char* as_sold =
    "A row holds for the composition as sold: recovered gas that has shifted does not follow it.";
constexpr const char* own_table =
    "Tarebook checked only the shape of this table: that pressures and vapour density rise and liquid density falls, "
    "that bubble is not below dew, that the rows are on a smooth curve in the units named. Whether the figures are "
    "those of this gas it cannot know: compare a few with the source. Between the rows: a monotone cubic";

std::string composition_text(const Refrigerant& r) {
    std::vector<std::string> parts;
    for (const auto& c : r.composition) parts.push_back(fmt::format("{} {} %", c.designation, c.mass_percent));
    return joined(parts);
}

std::string about_text(const Refrigerant& r, DisplayUnits units) {
    const auto& s = r.saturation;
    std::string out = fmt::format("{}: what the figures rest on\n", r.designation);
    out += wrapped("composition: " + composition_text(r) + " (mass)", 0);
    if (!s.has_table()) return out + wrapped(no_table, 0);
    const auto in_fahrenheit = units == DisplayUnits::kg ? std::string()
                                                         : fmt::format(" ({:.1f} to {:.1f} F)", s.low().in_fahrenheit(),
                                                                       s.high().in_fahrenheit());
    out += fmt::format("range: {:.1f} to {:.1f} C{}, nothing outside it; critical at {:.1f} C\n", s.low().in_celsius(),
                       s.high().in_celsius(), in_fahrenheit, s.critical.in_celsius());
    out += wrapped(
        fmt::format("uncertainty: {} % in pressure, {} % in density ({})", r.cylinder->pressure_uncertainty_percent,
                    r.cylinder->density_uncertainty_percent,
                    r.from_own_file ? "as your file says"
                                    : "judged by the person who collected the figures, not a confidence interval"),
        0);
    out += wrapped(fmt::format("method: {}", s.provenance.method), 0);
    if (r.from_own_file) return out + wrapped(own_table, 0) + "\n" + wrapped(as_sold, 0);
    out += wrapped("between the rows: a monotone cubic, within 0.01 % of rows left out", 0);
    if (!s.provenance.remark.empty()) out += wrapped(fmt::format("known weakness: {}", s.provenance.remark), 0);
    out += "\nEquations of state:\n";
    for (const auto& f : s.provenance.fluids) out += bulleted(fmt::format("{}: {}", f.component, f.equation));
    if (!s.provenance.pairs.empty()) out += "\nMixture parameters:\n";
    for (const auto& p : s.provenance.pairs)
        out += bulleted(p.estimated ? fmt::format("{} with {}: ESTIMATED, none is published: {} ({})", p.first,
                                                  p.second, p.source, p.effect)
                                    : fmt::format("{} with {}: {}", p.first, p.second, p.source));
    return out + "\n" + wrapped(as_sold, 0);
}

std::string about_json(const Refrigerant& r) {
    static const Columns<Component> parts{
        {"component", "", &Component::designation},
        {"mass_percent", "", [](const Component& c) { return Field::decimal(c.mass_percent, 3); }}};
    static const Columns<FluidSource> equations{{"component", "", &FluidSource::component},
                                                {"source", "", &FluidSource::equation}};
    static const Columns<PairSource> pairs{{"first", "", &PairSource::first},
                                           {"second", "", &PairSource::second},
                                           {"source", "", &PairSource::source},
                                           {"estimated", "", &PairSource::estimated},
                                           {"effect", "", &PairSource::effect}};
    const auto& s = r.saturation;
    const bool known = s.has_table();
    const auto celsius = [](Temperature t) { return Field::decimal(t.in_celsius(), 3); };
    return page_of("refrigerant", {{"refrigerant", r.designation},
                                   {"has_table", known},
                                   {"composition", parts.json(r.composition)},
                                   {"table_low_c", known ? celsius(s.low()) : Field()},
                                   {"table_high_c", known ? celsius(s.high()) : Field()},
                                   {"critical_c", known ? celsius(s.critical) : Field()},
                                   {"p_uncertainty_percent",
                                    known ? Field::decimal(r.cylinder->pressure_uncertainty_percent, 2) : Field()},
                                   {"rho_uncertainty_percent",
                                    known ? Field::decimal(r.cylinder->density_uncertainty_percent, 2) : Field()},
                                   {"method", known ? s.provenance.method : ""},
                                   {"own_file", r.from_own_file},
                                   {"remark", s.provenance.remark},
                                   {"equations", equations.json(s.provenance.fluids)},
                                   {"mixture_pairs", pairs.json(s.provenance.pairs)},
                                   {"cannot_be_computed", known ? "" : no_table}})
        .page();
}

std::string about_csv(const Refrigerant& r) {
    Csv csv({"refrigerant", "what", "of", "source", "estimated", "effect"});
    const std::string name(r.designation);
    if (r.from_own_file) csv.row({name, "own-file", "", std::string(r.saturation.provenance.method), "", ""});
    for (const auto& f : r.saturation.provenance.fluids)
        csv.row({name, "equation", std::string(f.component), std::string(f.equation), "no", ""});
    for (const auto& p : r.saturation.provenance.pairs)
        csv.row({name, "mixture-pair", fmt::format("{}/{}", p.first, p.second), std::string(p.source),
                 p.estimated ? "yes" : "no", std::string(p.effect)});
    return csv.page();
}

}  // namespace
}  // namespace report

Page pt_about_page(const Refrigerant& refrigerant, const PageOptions& options) {
    switch (options.format) {
        case Format::json:
            return Page{report::about_json(refrigerant)};
        case Format::csv:
            return Page{report::about_csv(refrigerant)};
        case Format::text:
        case Format::html:  // the command line refuses both for this page
        case Format::xlsx:
            break;
    }
    return Page{report::laid_out(report::about_text(refrigerant, options.units), options.width)};
}

}  // namespace tarebook
