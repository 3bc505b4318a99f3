#include "air_check.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "cautions.hpp"
#include "columns.hpp"
#include "fill.hpp"
#include "layout.hpp"
#include "pressure_text.hpp"
#include "shared_text.hpp"
#include "tarebook/checks/site_packs.hpp"

namespace tarebook {

Result<AirCheckQuestion> air_check_question_for(const Book& book, std::string_view cylinder) {
    const auto room = room_question_for(book, cylinder);
    if (!room) return fail(room.error());
    AirCheckQuestion q{.could_be = room->contents};
    // Beside a gas that is not in the catalogue, the curve of the other one says nothing.
    if (!report::not_in_catalogue(*room).empty() || report::holds_unknown(*room)) q.could_be.clear();
    q.inside = room->facts.water_capacity;
    q.net = room->state.contents();
    return q;
}

namespace report {
namespace {

PressureUnit unit_of(const AirCheckPage& page, const PageOptions& options) {
    return page.unit.value_or(usual_pressure_unit(options.units));
}

std::string difference(PressureDifference d, PressureUnit unit) {
    switch (unit) {
        case PressureUnit::kilopascals:
            return fmt::format("{:.0f} kPa", d.in_kilopascals());
        case PressureUnit::bar:
        case PressureUnit::bar_gauge:
            return fmt::format("{:.2f} bar", d.in_kilopascals() / 100);
        case PressureUnit::psig:
            break;
    }
    return fmt::format("{:.1f} psi", d.in_psi());
}

PressureDifference magnitude(PressureDifference d) {
    return d < PressureDifference::kilopascals(0) ? -d : d;
}

// What is left when the verdict is told: the sentence that a person acts on.
std::string verdict_text(const AirCheckPage& page, const AirCheck& check, const PageOptions& options) {
    const auto unit = unit_of(page, options);
    const auto by = difference(magnitude(check.excess), unit);
    const auto band = difference(check.band, unit);
    switch (check.verdict) {
        case AirVerdict::clear:
            return fmt::format("CLEAR: at or under the curve, no air to be seen; less than {} of it would not show",
                               band);
        case AirVerdict::inconclusive:
            if (page.question.could_be.size() > 1)
                return "INCONCLUSIVE: what is in it is one of several or a mixture; a mixture may be outside them all";
            return fmt::format("INCONCLUSIVE: {} over the curve, and the instruments may be off by {}", by, band);
        case AirVerdict::excess:
            return fmt::format(
                "EXCESS: {} over the curve, more than the {} that the instruments may be off: air, another gas, or a "
                "blend shifted by vapour recovery",
                by, band);
        case AirVerdict::below:
            return fmt::format(
                "BELOW THE CURVE by {}: air is unlikely; the gas may be another than the label says, there may be no "
                "liquid left, or the thermometer is warmer than the liquid",
                by);
        case AirVerdict::no_liquid:
            return fmt::format(
                "NO LIQUID: the check says nothing. The book has {} in it, and {} fill it as vapour alone",
                mass_text(*page.question.net, options.units), mass_text(*check.vapor_heel, options.units));
        case AirVerdict::liquid_full:
            break;
    }
    return "LIQUID-FULL by the book: the pressure is that of squeezed liquid and rises fast with warmth. Do not warm "
           "or "
           "move it; draw it down";
}

std::string next_text(AirVerdict verdict, DisplayUnits units) {
    switch (verdict) {
        case AirVerdict::excess:
            return fmt::format(
                "let it stand for hours at one temperature over {}, out of the sun, and check again; still high: draw "
                "vapour off the top into another cylinder and check again, or have it recycled or reclaimed",
                units == DisplayUnits::kg ? "18 C" : "65 F");
        case AirVerdict::inconclusive:
            return "read it again after hours at one temperature, with a better gauge and the thermometer on the wall "
                   "below the liquid level";
        case AirVerdict::below:
            return "weigh it, check the gas against label and register, and put the thermometer below the liquid level";
        case AirVerdict::no_liquid:
            return "weigh it; an air check needs liquid in the cylinder";
        case AirVerdict::liquid_full:
            return "tarebook room says how much to draw down";
        case AirVerdict::clear:
            break;
    }
    return "";
}

std::string as_air(const AirCheck& check, PressureUnit unit, DisplayUnits units) {
    if (!check.air_mole_percent) return "";
    std::string out = fmt::format("as air      {} of the pressure, {:.1f} % of the vapour",
                                  difference(check.excess, unit), *check.air_mole_percent);
    if (check.air)
        out += units == DisplayUnits::kg ? fmt::format("; {:.2g} g in all", check.air->in_kilograms() * 1000)
                                         : fmt::format("; {:.2g} oz in all", check.air->in_kilograms() * 35.27396195);
    return out + "\n";
}

}  // namespace

std::string air_check_text(const AirCheckPage& page, const AirCheck& check, const PageOptions& options) {
    const auto& q = page.question;
    const auto unit = unit_of(page, options);
    const auto& gas = *check.compared_with;
    std::string out = wrapped(verdict_text(page, check, options), 0);
    if (const auto next = next_text(check.verdict, options.units); !next.empty()) out += wrapped("next: " + next, 0);
    const auto line = [](std::string_view name, const std::string& value, const std::string& words) {
        return words.empty() ? fmt::format("{:<12}{}\n", name, value)
                             : fmt::format("{:<12}{:<14}  {}\n", name, value, words);
    };
    out += line("cylinder", pressure_text(q.pressure, page.barometer, unit),
                fmt::format("at {}", temperature_text(q.temperature, options.units)));
    out += line("bubble", pressure_text(check.point.bubble, page.barometer, unit),
                fmt::format("{}{}", gas.designation, q.could_be.size() > 1 ? ", the highest of what it may be" : ""));
    if (check.verdict != AirVerdict::no_liquid && check.verdict != AirVerdict::liquid_full) {
        out += line("excess", difference(check.excess, unit), "");
        out += line("band", "+-" + difference(check.band, unit),
                    fmt::format("gauge {}, thermometer {}, table {}", difference(q.gauge_accuracy, unit),
                                difference(check.thermometer_part, unit), difference(check.table_part, unit)));
        out += as_air(check, unit, options.units);
    }
    if (gas.blend() && check.verdict != AirVerdict::no_liquid && check.verdict != AirVerdict::liquid_full)
        out += wrapped(
            fmt::format("bubble, not dew: with liquid in it the liquid has the composition; the dew column ({}) "
                        "would show {} of air in clean {}",
                        pressure_text(check.point.dew, page.barometer, unit),
                        difference(check.point.bubble - check.point.dew, unit), gas.designation),
            0);
    std::vector<std::string> cautions = {
        fmt::format("heat: never over {}, no flame; warm with tepid water only. Local code and the maker come first",
                    options.units == DisplayUnits::kg ? "52 C" : "125 F")};
    if (check.verdict == AirVerdict::excess) {
        if (std::any_of(q.could_be.begin(), q.could_be.end(), [](const auto* r) { return r->flammable(); }))
            cautions.emplace_back(
                "air with a flammable gas can burn inside: no machine on it that is not rated for that");
        cautions.push_back(venting_caution(&gas, law_of_the_us(page.country)));
    }
    for (const auto& caution : cautions) out += wrapped("caution: " + caution, 0);
    return out;
}

Result<AirCheckPage> air_check_of(const Book& book, const kinds::AirCheck& recorded) {
    auto question = air_check_question_for(book, recorded.cylinder);
    if (!question) return fail(question.error());
    AirCheckPage page{std::move(*question), recorded.cylinder};
    page.country = country_of(book.entries().find(EntryKind::cylinder, recorded.cylinder), order_at(Instant::max()));
    const auto readings = air_check_readings({recorded.pressure, recorded.temperature, recorded.gauge_accuracy,
                                              recorded.thermometer_accuracy, recorded.barometer, recorded.altitude});
    if (!readings) return fail(readings.error());
    set(page, *readings);
    return page;
}

}  // namespace report

Result<AirCheckReadings> air_check_readings(const TypedReadings& typed) {
    AirCheckReadings r;
    const auto pressure = parse_pressure(typed.pressure);
    if (!pressure) return fail(pressure.error());
    const auto temperature = parse_temperature(typed.temperature);
    if (!temperature) return fail(temperature.error());
    r.temperature = *temperature;
    if (typed.gauge_accuracy) {
        const auto off = parse_pressure_accuracy(*typed.gauge_accuracy);
        if (!off) return fail(off.error());
        r.gauge_accuracy = *off;
    }
    if (typed.thermometer_accuracy) {
        const auto off = parse_temperature_accuracy(*typed.thermometer_accuracy);
        if (!off) return fail(off.error());
        r.thermometer_accuracy = *off;
    }
    auto barometer = parse_place(typed.altitude, typed.barometer);
    if (!barometer) return fail(barometer.error());
    r.barometer = std::move(*barometer);
    r.pressure = pressure->absolute(r.barometer.pressure);
    return r;
}

void set(AirCheckPage& page, const AirCheckReadings& r) {
    page.question.pressure = r.pressure;
    page.question.temperature = r.temperature;
    page.question.gauge_accuracy = r.gauge_accuracy;
    page.question.thermometer_accuracy = r.thermometer_accuracy;
    page.barometer = r.barometer;
}

Result<Page> air_check_page(const AirCheckPage& page, const PageOptions& options) {
    using namespace report;
    const auto check = air_check(page.question);
    if (!check) return fail(check.error());
    const auto& q = page.question;
    const auto& p = check->point;
    switch (options.format) {
        case Format::csv: {
            Csv csv({"cylinder", "refrigerant", "verdict", "t_c", "p_cylinder_kpa", "p_bubble_kpa", "excess_kpa",
                     "band_kpa", "air_percent"});
            csv.row({page.cylinder.value_or(""), std::string(check->compared_with->designation),
                     std::string(tarebook::text_of(check->verdict)), fmt::format("{:.2f}", q.temperature.in_celsius()),
                     fmt::format("{:.2f}", q.pressure.in_kilopascals()),
                     fmt::format("{:.2f}", p.bubble.in_kilopascals()),
                     fmt::format("{:.2f}", check->excess.in_kilopascals()),
                     fmt::format("{:.2f}", check->band.in_kilopascals()),
                     check->air_mole_percent ? fmt::format("{:.2f}", *check->air_mole_percent) : ""});
            return Page{csv.page()};
        }
        case Format::json: {
            const auto kpa = [](auto pressure) { return Field::decimal(pressure.in_kilopascals(), 3); };
            std::vector<std::string> could_be;
            for (const auto* r : q.could_be) could_be.emplace_back(r->designation);
            return Page{page_of("air-check", {{"cylinder", page.cylinder},
                                              {"refrigerant", could_be.size() == 1 ? could_be.front() : ""},
                                              {"could_be", could_be},
                                              {"verdict", tarebook::text_of(check->verdict)},
                                              {"t_c", Field::decimal(q.temperature.in_celsius(), 3)},
                                              {"p_cylinder_kpa", kpa(q.pressure)},
                                              {"p_bubble_kpa", kpa(p.bubble)},
                                              {"p_dew_kpa", kpa(p.dew)},
                                              {"rho_liquid_kg_m3", Field::decimal(p.liquid.in_kg_per_m3(), 4)},
                                              {"rho_vapor_kg_m3", Field::decimal(p.vapor.in_kg_per_m3(), 4)},
                                              {"excess_kpa", kpa(check->excess)},
                                              {"dew_excess_kpa", kpa(check->dew_excess)},
                                              {"band_kpa", kpa(check->band)},
                                              {"gauge_accuracy_kpa", kpa(q.gauge_accuracy)},
                                              {"thermometer_part_kpa", kpa(check->thermometer_part)},
                                              {"table_part_kpa", kpa(check->table_part)},
                                              {"air_percent", Field::decimal(check->air_mole_percent, 3)},
                                              {"air", check->air},
                                              {"vapor_heel", check->vapor_heel},
                                              {"net", q.net},
                                              {"barometer_kpa", kpa(page.barometer.pressure)}})
                            .page()};
        }
        case Format::text:
        case Format::html:  // the command line refuses both for this page
        case Format::xlsx:
            break;
    }
    std::string out = fmt::format("Air check{}\n", page.cylinder ? " of " + *page.cylinder : "");
    out += air_check_text(page, *check, options);
    if (is_gauge(unit_of(page, options))) out += wrapped(barometer_text(page.barometer, options.units), 0);
    return Page{laid_out(out, options.width)};
}

}  // namespace tarebook
