#include "tarebook/report/pt_page.hpp"

#include <fmt/format.h>

#include <cmath>

#include "columns.hpp"
#include "document.hpp"
#include "pressure_text.hpp"

namespace tarebook {

Barometer Barometer::at(Altitude altitude) {
    return {barometer_at(altitude), fmt::format("{:.0f} ft ({:.0f} m) in the standard atmosphere, ISO 2533",
                                                altitude.in_feet(), altitude.in_metres())};
}

Result<Barometer> parse_place(const std::optional<std::string>& altitude, const std::optional<std::string>& barometer) {
    if (altitude && barometer)
        return usage("altitude-and-barometer", "an altitude, or a barometer, not both", *barometer,
                     "--altitude, or --barometer", "the barometer is the better one: it was read");
    if (altitude) {
        const auto height = parse_altitude(*altitude);
        if (!height) return fail(height.error());
        return Barometer::at(*height);
    }
    if (barometer) {
        const auto read = parse_barometer(*barometer);
        if (!read) return fail(read.error());
        return Barometer::read(*read);
    }
    return Barometer{};
}

Result<PtAt> parse_pt_at(std::string_view text) {
    std::size_t letters = text.find_last_not_of(" \t") + 1;
    const auto end = letters;
    const auto is_letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
    while (letters > 0 && is_letter(text[letters - 1])) --letters;
    const auto unit = text.substr(letters, end - letters);
    if (unit.empty())
        return usage("pt-no-unit", "a temperature or a pressure needs its unit", std::string(text),
                     "70F, 21C, 118psig, 10inHg (vacuum), 8bar or 800kPa (absolute)");
    if (unit == "F" || unit == "f" || unit == "C" || unit == "c") {
        const auto t = parse_temperature(text);
        if (!t) return fail(t.error());
        return *t;
    }
    auto p = parse_pressure(text);
    if (!p) return fail(p.error());
    return std::move(*p);
}

namespace report {
namespace {

/// What was asked for at a pressure: each side may be outside the table.
struct AtPressure {
    AbsolutePressure pressure;
    Saturated<Temperature> bubble;
    Saturated<Temperature> dew;
    std::optional<SaturationPoint> at_bubble = std::nullopt;
    std::optional<SaturationPoint> at_dew = std::nullopt;
};

Result<AtPressure> at_pressure(const Refrigerant& r, AbsolutePressure p) {
    AtPressure found{p, bubble_temperature(r, p), dew_temperature(r, p)};
    if (!found.bubble && !found.dew) return fail(outside_table(r, found.bubble.error()));
    if (found.bubble) found.at_bubble = *saturation_at(r, *found.bubble);
    if (found.dew) found.at_dew = *saturation_at(r, *found.dew);
    return found;
}

// The rows of a printed table: round figures in the person's degrees, inside the range.
std::vector<SaturationPoint> printed_rows(const Refrigerant& r, DisplayUnits units) {
    const bool metric = units == DisplayUnits::kg;
    const int step = metric ? 2 : 5;
    const auto low = r.saturation.low();
    const auto high = r.saturation.high();
    const auto shown = [&](Temperature t) { return metric ? t.in_celsius() : t.in_fahrenheit(); };
    std::vector<SaturationPoint> rows;
    for (int i = static_cast<int>(std::ceil(shown(low) / step)); i * step <= shown(high); ++i)
        if (const auto point =
                saturation_at(r, metric ? Temperature::celsius(i * step) : Temperature::fahrenheit(i * step)))
            rows.push_back(*point);
    return rows;
}

Field kpa(AbsolutePressure p) {
    return Field::decimal(p.in_kilopascals(), 3);
}
Field celsius(const std::optional<Temperature>& t) {
    return t ? Field::decimal(t->in_celsius(), 3) : Field();
}
Field density(const std::optional<Density>& d) {
    return d ? Field::decimal(d->in_kg_per_m3(), 4) : Field();
}

// A point of the curve, or what belongs to a pressure: two temperatures, and one for both only where they are one.
struct PtRow {
    std::optional<Temperature> at, bubble_at, dew_at;
    AbsolutePressure bubble, dew;
    std::optional<Density> liquid, vapor;
};
PtRow row_of(const SaturationPoint& p) {
    return {p.temperature, {}, {}, p.bubble, p.dew, p.liquid, p.vapor};
}
PtRow row_of(const AtPressure& a) {
    const auto known = [](const Saturated<Temperature>& t) { return t ? std::optional(*t) : std::nullopt; };
    PtRow row{{}, known(a.bubble), known(a.dew), a.pressure, a.pressure, {}, {}};
    if (row.bubble_at == row.dew_at) row.at = row.bubble_at;
    if (a.at_bubble) row.liquid = a.at_bubble->liquid;
    if (a.at_dew) row.vapor = a.at_dew->vapor;
    return row;
}
const Columns<PtRow>& pt_columns() {
    static const Columns<PtRow> columns{{"t_c", "", [](const PtRow& r) { return celsius(r.at); }},
                                        {"t_bubble_c", "", [](const PtRow& r) { return celsius(r.bubble_at); }},
                                        {"t_dew_c", "", [](const PtRow& r) { return celsius(r.dew_at); }},
                                        {"p_bubble_kpa", "", [](const PtRow& r) { return kpa(r.bubble); }},
                                        {"p_dew_kpa", "", [](const PtRow& r) { return kpa(r.dew); }},
                                        {"rho_liquid_kg_m3", "", [](const PtRow& r) { return density(r.liquid); }},
                                        {"rho_vapor_kg_m3", "", [](const PtRow& r) { return density(r.vapor); }}};
    return columns;
}

Json pt_json(const PtQuestion& q, const std::vector<PtRow>& rows) {
    const auto& r = *q.refrigerant;
    Json page = page_of("saturation", {{"refrigerant", r.designation}});
    if (q.at)
        pt_columns().add_to(page, rows.front());
    else
        page.add("points", pt_columns().json(rows));
    return std::move(
        add_facts(page, {{"barometer_kpa", kpa(q.barometer.pressure)},
                         {"table_low_c", celsius(r.saturation.low())},
                         {"table_high_c", celsius(r.saturation.high())},
                         {"p_uncertainty_percent", Field::decimal(r.cylinder->pressure_uncertainty_percent, 2)},
                         {"rho_uncertainty_percent", Field::decimal(r.cylinder->density_uncertainty_percent, 2)},
                         {"estimated_pairs", r.saturation.provenance.estimated()}}));
}

// How far to trust it, in a line or two under every page.
std::string footing(const Refrigerant& r) {
    std::string out = fmt::format("good to about {} % in pressure, {} % in density{}",
                                  r.cylinder->pressure_uncertainty_percent, r.cylinder->density_uncertainty_percent,
                                  r.from_own_file ? " by your own file, which was not checked here" : "");
    if (r.saturation.provenance.estimated()) out += "; mixture parameters are partly estimated";
    out += fmt::format(" (tarebook pt {} --about)", r.designation);
    return out;
}

constexpr const char* nominal =
    "For the composition as sold: recovered gas may have shifted, and air adds to its pressure.";

std::string title(const Refrigerant& r, const std::string& at) {
    return fmt::format("{} at saturation{}{}", r.designation, at.empty() ? "" : ", ", at);
}
void add_figure(Document& page, const char* name, const std::string& value, std::string_view word) {
    page.fact(name, fmt::format("{:<20}{}", value, word), 8);
}

const char* bubble_word(const Refrigerant& r) {
    return r.blend() ? "liquid begins to boil; what a cylinder with liquid shows" : "liquid and vapour together";
}
constexpr const char* dew_word = "vapour begins to condense";

Document point_document(const PtQuestion& q, const SaturationPoint& p, const PageOptions& options) {
    const auto unit = pressure_unit(q, options);
    const auto& r = *q.refrigerant;
    const auto bubble = pressure_text(p.bubble, q.barometer, unit), dew = pressure_text(p.dew, q.barometer, unit);
    Document page(
        title(r, options.units == DisplayUnits::kg
                     ? temperature_text(p.temperature, options.units)
                     : fmt::format("{:.1f} F ({:.1f} C)", p.temperature.in_fahrenheit(), p.temperature.in_celsius())),
        "");
    add_figure(page, "bubble", bubble, bubble_word(r));
    add_figure(page, "dew", dew, r.blend() ? dew_word : "the same: one refrigerant");
    add_figure(page, "liquid", density_text(p.liquid, options.units), "at the bubble point");
    add_figure(page, "vapour", density_text(p.vapor, options.units), "at the dew point");
    return page;
}

Document pressure_point_document(const PtQuestion& q, const AtPressure& a, const PageOptions& options) {
    const auto& r = *q.refrigerant;
    const auto at = [&](const Saturated<Temperature>& t) {
        if (t) return temperature_text(*t, options.units);
        return t.error().side == OutsideTable::Side::hotter ? "above " + temperature_text(t.error().high, options.units)
                                                            : "below " + temperature_text(t.error().low, options.units);
    };
    Document page(title(r, pressure_text(a.pressure, q.barometer, pressure_unit(q, options))), "");
    add_figure(page, "bubble", at(a.bubble), bubble_word(r));
    add_figure(page, "dew", at(a.dew), r.blend() ? dew_word : "the same: one refrigerant");
    if (a.at_bubble)
        add_figure(page, "liquid", density_text(a.at_bubble->liquid, options.units), "at the bubble point");
    if (a.at_dew) add_figure(page, "vapour", density_text(a.at_dew->vapor, options.units), "at the dew point");
    return page;
}

Document table_document(const PtQuestion& q, const PageOptions& options) {
    const auto& r = *q.refrigerant;
    const bool metric = options.units == DisplayUnits::kg;
    const auto unit = pressure_unit(q, options);
    Table table;
    table.column(metric ? "C" : "F", Side::right)
        .column(fmt::format("bubble {}", heading(unit)), Side::right)
        .column(fmt::format("dew {}", heading(unit)), Side::right)
        .column(metric ? "liquid kg/m3" : "liquid lb/ft3", Side::right)
        .column(metric ? "vapour kg/m3" : "vapour lb/ft3", Side::right);
    for (const auto& p : printed_rows(r, options.units)) {
        const auto t = p.temperature;
        table.row({fmt::format("{:.0f}", metric ? t.in_celsius() : t.in_fahrenheit()),
                   pressure_cell(p.bubble, q.barometer, unit), pressure_cell(p.dew, q.barometer, unit),
                   fmt::format("{:.2f}", metric ? p.liquid.in_kg_per_m3() : p.liquid.in_lb_per_ft3()),
                   fmt::format("{:.3f}", metric ? p.vapor.in_kg_per_m3() : p.vapor.in_lb_per_ft3())});
    }
    Document page(title(r, ""), "");
    page.line(unit == PressureUnit::psig        ? "psig as a gauge shows it here; inHg is vacuum below the barometer"
              : unit == PressureUnit::bar_gauge ? "bar as a gauge shows it here; below zero is vacuum"
                                                : fmt::format("{} absolute", heading(unit)));
    return std::move(page.gap().table(std::move(table), "Saturation of " + std::string(r.designation)).gap());
}

}  // namespace
}  // namespace report

Result<Page> pt_page(const PtQuestion& q, const PageOptions& options) {
    using namespace report;
    const auto& r = *q.refrigerant;
    if (!r.saturation.has_table()) return fail(outside_table(r, OutsideTable{}));
    std::optional<AtPressure> pressure;
    std::vector<SaturationPoint> points;
    if (!q.at) {
        points = printed_rows(r, options.units);
    } else if (const auto* t = std::get_if<Temperature>(&*q.at)) {
        const auto point = saturation_at(r, *t);
        if (!point) return fail(outside_table(r, point.error()));
        points.push_back(*point);
    } else {
        auto found = at_pressure(r, std::get<PressureReading>(*q.at).absolute(q.barometer.pressure));
        if (!found) return fail(found.error());
        pressure = std::move(*found);
    }
    std::vector<PtRow> rows;
    for (const auto& point : points) rows.push_back(row_of(point));
    if (pressure) rows.push_back(row_of(*pressure));
    if (options.format == Format::json) return Page{pt_json(q, rows).page()};
    if (options.format == Format::csv) return Page{pt_columns().csv(rows, "refrigerant", r.designation)};
    auto page = pressure ? pressure_point_document(q, *pressure, options)
                : q.at   ? point_document(q, points.front(), options)
                         : table_document(q, options);
    // Absolute figures do not depend on the barometer; a gauge reading that was asked about does.
    const bool gauge_asked = q.at && std::holds_alternative<PressureReading>(*q.at) &&
                             std::holds_alternative<GaugePressure>(std::get<PressureReading>(*q.at).value);
    if (gauge_asked || is_gauge(pressure_unit(q, options))) page.paragraph(barometer_text(q.barometer, options.units));
    page.paragraph(footing(r)).paragraph(nominal);
    return Page{page_body(page, options)};
}

}  // namespace tarebook
