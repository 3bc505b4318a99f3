#include "cylinder_contents.hpp"

#include <fmt/format.h>

#include <cmath>

#include "tarebook/refrigerant/spec_mark.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook::report {
namespace {

constexpr Temperature at_77f = Temperature::celsius(25);
constexpr Temperature at_131f = Temperature::celsius(55);
constexpr Temperature heel_at = Temperature::fahrenheit(70);

std::optional<FillState> fill_state(const Refrigerant& gas, Mass net, Volume inside, Temperature at) {
    const auto found = fill_state_at(gas, net, inside, at);
    return found ? std::optional(*found) : std::nullopt;
}
Inside inside_of(const Refrigerant& gas, Mass net, Volume volume) {
    return {net, liquid_full_temperature(gas, net, volume), fill_state(gas, net, volume, at_77f),
            fill_state(gas, net, volume, at_131f)};
}

std::optional<GaugePressure> highest_pressure(const Refrigerant& gas, const std::optional<FillState>& s) {
    if (!s || !s->pressure_at_most) return std::nullopt;
    return gauge_at_most(gas, *s->pressure_at_most);
}

std::string share_text(const std::optional<FillState>& s) {
    if (!s) return "no liquid";
    if (s->phases == Phases::liquid_full) return "LIQUID-FULL";
    if (s->phases == Phases::all_vapor) return "all vapour";
    return fmt::format("{:.0f} %", std::ceil(s->liquid_share * 100 - 1e-9));  // never less than it is
}
std::string pressure_text(const Refrigerant& gas, const std::optional<FillState>& s, DisplayUnits units) {
    if (!s) return "no figure";
    const auto p = highest_pressure(gas, s);
    return p ? "up to " + gauge_up(*p, units) : "it can burst";
}

// Filled to 80 % at 77 F, at 131 F.
std::optional<GaugePressure> rated_pressure(const Refrigerant& gas) {
    if (!gas.cylinder || !gas.cylinder->at_55c) return std::nullopt;
    return gauge_at_most(gas, absolute(*gas.cylinder->at_55c, standard_atmosphere()));
}

// 2 % is what a weighing or two leave open (common practice, no source).
const Refrigerant* gas_of_that_composition(const Catalogue& catalogue, const Lots& lots) {
    std::vector<Component> parts;
    const double all = total(lots).in_kilograms();
    if (all <= 0) return nullptr;
    for (const auto& lot : lots) {
        const auto* gas = catalogue.find(lot.key.refrigerant);
        if (!gas) return nullptr;
        for (const auto& c : gas->composition)
            parts.push_back({c.designation, c.mass_percent * lot.mass.in_kilograms() / all});
    }
    return find_by_composition(parts, 2.0);
}

Json one_json(const Refrigerant& gas, const Inside& i) {
    const auto share = [](const std::optional<FillState>& s) {
        return Field::decimal(s ? std::optional(s->liquid_share * 100) : std::nullopt, 2);
    };
    const auto p = highest_pressure(gas, i.at_131f);
    Json j = Json::object();
    j.add_mass("net", i.net);
    add_liquid_full(j, i.liquid_full);
    return std::move(add_facts(
        j, {{"liquid_percent_25c", share(i.at_77f)},
            {"liquid_percent_55c", share(i.at_131f)},
            {"pressure_55c_at_most_psig", Field::decimal(p ? std::optional(p->in_psig()) : std::nullopt, 1)}}));
}

}  // namespace

std::optional<InsideView> inside_view(const RoomQuestion& question, const FillView& fill) {
    if (question.contents.size() != 1 || question.mixed) return std::nullopt;
    const auto& gas = *question.contents.front();
    if (!gas.saturation.has_table()) return std::nullopt;
    const auto volume = *question.facts.water_capacity;
    InsideView view{&gas, std::nullopt, inside_of(gas, fill.limits.net(), volume), std::nullopt, std::nullopt, true};
    if (fill.net_now > Mass()) view.now = inside_of(gas, fill.net_now, volume);
    if (const auto heel = vapor_heel(gas, volume, heel_at)) view.heel = *heel;
    if (question.facts.spec)
        if (const auto mark = parse_spec_mark(*question.facts.spec); mark && mark->service_psig)
            view.held_at_131f = GaugePressure::psig(*mark->service_psig * 1.25);
    view.us_transport = law_of_the_us(question.facts.country.value_or(""));
    return view;
}

Document inside_part(const InsideView& view, DisplayUnits units) {
    const auto hot = degrees(at_131f, units);
    Table table;
    table.column("inside")
        .column("net", Side::right)
        .column("liquid-full")
        .column("liquid at " + degrees(at_77f, units));
    table.column("at " + hot).column("pressure at " + hot);
    const auto row = [&](std::string name, Cell net, const Inside& i) {
        table.typed_row({std::move(name), std::move(net), liquid_full_words(i.liquid_full, units), share_text(i.at_77f),
                         share_text(i.at_131f), pressure_text(*view.gas, i.at_131f, units)});
    };
    if (view.now) row("now", mass_cell(view.now->net, units), *view.now);  // as the contents stand elsewhere
    row("at the limit", mass_cell_down(view.at_limit.net, units), view.at_limit);
    Document out;
    out.table(std::move(table), "What is inside, now and when filled to the limit");
    if (view.held_at_131f)
        out.line(fmt::format("5/4 of its service pressure: {}{}", gauge_down(*view.held_at_131f, units),
                             view.us_transport ? " (49 CFR 173.301a(d))" : ""));
    if (view.heel)
        out.line(fmt::format("heel: {} of vapour stay at {} when the liquid is gone", mass_text_up(*view.heel, units),
                             degrees(heel_at, units)));
    return out;
}

void add_liquid_full(Json& object, const std::optional<Saturated<Temperature>>& full) {
    const auto celsius = [](std::optional<Temperature> t) {
        return Field::decimal(t ? std::optional(t->in_celsius()) : std::nullopt, 2);
    };
    const auto outside = [&](OutsideTable::Side side, Temperature OutsideTable::*end) {
        return celsius(full && !*full && full->error().side == side ? std::optional(full->error().*end) : std::nullopt);
    };
    add_facts(object, {{"liquid_full_c", celsius(full && *full ? std::optional(**full) : std::nullopt)},
                       {"liquid_full_above_c", outside(OutsideTable::Side::hotter, &OutsideTable::high)},
                       {"liquid_full_below_c", outside(OutsideTable::Side::colder, &OutsideTable::low)}});
}

Json inside_json(const RoomQuestion& question, const std::optional<FillView>& fill) {
    const auto view = fill ? inside_view(question, *fill) : std::nullopt;
    if (!view) return Json::null();
    const auto& held = view->held_at_131f;
    return facts({{"now", view->now ? one_json(*view->gas, *view->now) : Json::null()},
                  {"at_limit", one_json(*view->gas, view->at_limit)},
                  {"heel", view->heel},
                  {"held_at_55c_psig", Field::decimal(held ? std::optional(held->in_psig()) : std::nullopt, 1)}});
}

std::string highest_candidate_text(const RoomQuestion& question, DisplayUnits units) {
    const auto hot = degrees(at_131f, units);
    if (const auto* same =
            question.state.mixed ? gas_of_that_composition(question.data.catalogue, question.state.lots) : nullptr)
        if (const auto p = rated_pressure(*same))
            return fmt::format("pressure at {}: up to {}, as {} whose composition this is; it stays MIXED", hot,
                               gauge_up(*p, units), same->designation);
    const Refrigerant* highest = nullptr;
    std::optional<GaugePressure> most;
    for (const auto* gas : question.contents)
        if (const auto p = rated_pressure(*gas); p && (!most || *p > *most)) {
            most = p;
            highest = gas;
        }
    if (!highest) return "";
    if (holds_unknown(question))
        return fmt::format("pressure at {}: not known with a gas in it that is not known; {} alone up to {}", hot,
                           highest->designation, gauge_up(*most, units));
    return fmt::format("pressure at {}: up to {} if it is {}; a mixture can show more than each of its parts", hot,
                       gauge_up(*most, units), highest->designation);
}

}  // namespace tarebook::report
