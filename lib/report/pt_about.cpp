// tarebook pt R --about: what the figures rest on, and for a refrigerant without a table what cannot be computed.
#include <fmt/format.h>

#include "json.hpp"
#include "pressure_text.hpp"
#include "shared_text.hpp"
#include "table.hpp"
#include "tarebook/refrigerant/own_refrigerants.hpp"
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
    "that bubble is not below dew, that the rows lie on a smooth curve in the units named. Whether the figures are "
    "those of this gas it cannot know: compare a few with the source. Between the rows: a monotone cubic";

std::string composition_text(const Refrigerant& r) {
    std::vector<std::string> parts;
    for (const auto& c : r.composition) parts.push_back(fmt::format("{} {} %", c.designation, c.mass_percent));
    return joined(parts);
}

std::string about_text(const Refrigerant& r) {
    const auto& s = r.saturation;
    std::string out = fmt::format("{}: what the figures rest on\n", r.designation);
    out += wrapped("composition: " + composition_text(r) + " (mass)", 0);
    if (!s.has_table()) return out + wrapped(no_table, 0);
    out += fmt::format("range: {:.1f} to {:.1f} C ({:.1f} to {:.1f} F), nothing outside it; critical at {:.1f} C\n",
                       s.low().in_celsius(), s.high().in_celsius(), s.low().in_fahrenheit(), s.high().in_fahrenheit(),
                       s.critical.in_celsius());
    out += wrapped(fmt::format("uncertainty: {} % in pressure, {} % in density ({})",
                               r.cylinder->pressure_uncertainty_percent, r.cylinder->density_uncertainty_percent,
                               is_own(r) ? "as your file says"
                                         : "a judgement of who collected the figures, no confidence interval"),
                   0);
    out += wrapped(fmt::format("method: {}", s.provenance.method), 0);
    if (is_own(r)) return out + wrapped(own_table, 0) + "\n" + wrapped(as_sold, 0);
    out += wrapped("between the rows: a monotone cubic, within 0.01 % of rows left out", 0);
    if (!s.provenance.remark.empty()) out += wrapped(fmt::format("known weakness: {}", s.provenance.remark), 0);
    out += "\nEquations of state:\n";
    for (const auto& f : s.provenance.fluids) out += bulleted(fmt::format("{}: {}", f.component, f.equation));
    if (!s.provenance.pairs.empty()) out += "\nMixture parameters:\n";
    for (const auto& p : s.provenance.pairs)
        out += bulleted(p.estimated ? fmt::format("{} with {}: ESTIMATED, nobody has published any: {} ({})", p.first,
                                                  p.second, p.source, p.effect)
                                    : fmt::format("{} with {}: {}", p.first, p.second, p.source));
    return out + "\n" + wrapped(as_sold, 0);
}

std::string about_json(const Refrigerant& r) {
    const auto& s = r.saturation;
    Json page = versioned();
    page.add("refrigerant", Json::text(r.designation)).add("has_table", Json::boolean(s.has_table()));
    Json parts = Json::array();
    for (const auto& c : r.composition) {
        Json part = Json::object();
        part.add("component", Json::text(c.designation)).add("mass_percent", Json::decimal(c.mass_percent, 3));
        parts.push(std::move(part));
    }
    page.add("composition", std::move(parts));
    const auto or_null = [&](Json value) { return s.has_table() ? std::move(value) : Json::null(); };
    const auto celsius = [&](Temperature t) { return or_null(Json::decimal(t.in_celsius(), 3)); };
    page.add("table_low_c", s.has_table() ? celsius(s.low()) : Json::null())
        .add("table_high_c", s.has_table() ? celsius(s.high()) : Json::null())
        .add("critical_c", celsius(s.critical))
        .add("p_uncertainty_percent",
             s.has_table() ? Json::decimal(r.cylinder->pressure_uncertainty_percent, 2) : Json::null())
        .add("rho_uncertainty_percent",
             s.has_table() ? Json::decimal(r.cylinder->density_uncertainty_percent, 2) : Json::null())
        .add("method", or_null(Json::text(s.provenance.method)))
        .add("own_file", Json::boolean(is_own(r)))
        .add("remark", s.provenance.remark.empty() ? Json::null() : Json::text(s.provenance.remark));
    Json equations = Json::array();
    for (const auto& f : s.provenance.fluids) {
        Json one = Json::object();
        one.add("component", Json::text(f.component)).add("source", Json::text(f.equation));
        equations.push(std::move(one));
    }
    Json pairs = Json::array();
    for (const auto& p : s.provenance.pairs) {
        Json one = Json::object();
        one.add("first", Json::text(p.first))
            .add("second", Json::text(p.second))
            .add("source", Json::text(p.source))
            .add("estimated", Json::boolean(p.estimated))
            .add("effect", p.effect.empty() ? Json::null() : Json::text(p.effect));
        pairs.push(std::move(one));
    }
    page.add("equations", std::move(equations)).add("mixture_pairs", std::move(pairs));
    page.add("cannot_be_computed", s.has_table() ? Json::null() : Json::text(no_table));
    return page.page();
}

std::string about_csv(const Refrigerant& r) {
    Csv csv({"refrigerant", "what", "of", "source", "estimated", "effect"});
    const std::string name(r.designation);
    if (is_own(r)) csv.row({name, "own-file", "", std::string(r.saturation.provenance.method), "", ""});
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
    return Page{report::about_text(refrigerant)};
}

}  // namespace tarebook
