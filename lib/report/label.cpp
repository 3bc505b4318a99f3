#include "label.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "tarebook/refrigerant/saturation.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook::report {
namespace {

std::string upper(std::string text) {
    for (auto& c : text)
        if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    return text;
}

void take_gas(const RoomQuestion& q, Label& label) {
    std::vector<std::string> names;
    for (const auto* gas : q.contents) names.emplace_back(gas->designation);
    for (const auto& strange : not_in_catalogue(q)) names.push_back(strange);
    if (q.mixed) {
        label.gas = "MIXED";
        label.condition = joined(names) + (holds_unknown(q) ? ", and unknown" : "") + ": never for reuse";
    } else if (holds_unknown(q)) {
        label.gas = "UNKNOWN";
        label.condition = "identify before anything else";
    } else if (names.empty()) {
        label.gas = "EMPTY";
    } else {
        label.gas = names.front();
    }
}

// A name of one gas is that gas's alone: of a mixture only who knows its parts can name it for transport.
void take_shipping(const RoomQuestion& q, Label& label) {
    if (q.mixed || holds_unknown(q) || q.contents.size() != 1) return;
    const auto& gas = *q.contents.front();
    label.safety = gas.safety_group;
    if (!gas.un_number) return;
    label.un = fmt::format("UN{:04}", *gas.un_number);
    label.shipping_name = gas.shipping_name;
    label.us = law_of_the_us(q.facts.country.value_or(""));
    label.division = label.us || !gas.hazard_class.ends_with("2.3 elsewhere") ? std::string(gas.hazard_class) : "2.3";
    label.shipping_from_memory = gas.status_of("un_number") == ValueStatus::from_memory ||
                                 gas.status_of("shipping_name") == ValueStatus::from_memory;
}

// Of a gas that has no liquid on a warm day: its pressure at rest, by its saturation table (of R-744 Span and Wagner
// 1996, see `tarebook pt R-744 --about`), and the critical point from which on nothing tells the contents but the
// scale.
void take_pressure_at_rest(const Refrigerant& gas, Label& label) {
    constexpr auto warm_day = Temperature::celsius(55), room = Temperature::fahrenheit(70);
    if (!gas.critical || warm_day <= *gas.critical) return;
    if (const auto at = saturation_at(gas, room)) {
        const auto shown = gauge(at->bubble, standard_atmosphere());
        label.cautions.push_back(fmt::format("HIGH PRESSURE at rest: {:.0f} psig / {:.0f} bar at 70 F / 21 C",
                                             shown.in_psig(), shown.in_kilopascals() / 100));
    }
    label.cautions.push_back(
        fmt::format("over {:.0f} F / {:.0f} C no liquid: pressure by filling, contents by the scale",
                    std::floor(gas.critical->in_fahrenheit()), std::floor(gas.critical->in_celsius())));
    if (gas.designation == "R-744") label.cautions.emplace_back("dry ice can block a vent or hose");
}

void take_cautions(const RoomQuestion& q, Label& label) {
    const auto any = [&](auto test) {
        return std::any_of(q.contents.begin(), q.contents.end(), [&](const Refrigerant* g) { return test(*g); });
    };
    if (any([](const Refrigerant& g) { return g.flammable(); }))
        label.cautions.emplace_back("FLAMMABLE: no flame or spark");
    if (any([](const Refrigerant& g) { return g.toxic(); })) label.cautions.emplace_back("TOXIC when breathed");
    if (label.gas == "UNKNOWN" || !not_in_catalogue(q).empty() ||
        (q.mixed && !any([](const Refrigerant& g) { return g.flammable(); })))
        label.cautions.emplace_back("may be flammable, until analysed");
    if (!q.mixed && label.gas != "UNKNOWN" && label.gas != "EMPTY" && q.contents.size() == 1)
        take_pressure_at_rest(*q.contents.front(), label);
    label.cautions.emplace_back("under pressure: never over 125 F / 52 C; upright, secured, capped");
    label.cautions.emplace_back("takes the place of air; liquid burns cold");
}

}  // namespace

Label label_of(const Book& book, const RoomQuestion& q, const PageOptions& options) {
    Label label;
    label.cylinder = q.code;
    label.place = q.place();
    label.practice = book.info().practice();
    take_gas(q, label);
    const auto content = content_of(q.state, q.facts);
    if (!q.state.lots.empty()) {
        if (!q.mixed && label.gas != "UNKNOWN") label.condition = content.condition.value_or("");
        label.owner = owner_word(content).value_or("not on record");
    } else if (!q.contents.empty()) {
        label.condition = "empty, for " + q.facts.use;
    }
    if (q.state.reclaim_only && !q.mixed) label.condition += ", reclaim only";
    if (!q.state.spoiled.empty()) label.condition += ", " + upper(q.state.spoiled);
    if (q.facts.water_capacity) label.water_capacity = q.facts.water_capacity->filled_with(water_at_60f());
    label.tare = q.facts.tare;
    if (const auto bars = fill_bars(q, options.now, options.units); !bars.empty())
        label.bar = bars.front().brief;
    else if (const auto fill = fill_view(q, options.units)) {
        label.stop = fill->weights.stop_gross;
        label.slow = fill->weights.slow_gross;
    }
    label.test_due = test_due(book.rules(), q.facts);
    take_shipping(q, label);
    take_cautions(q, label);
    const auto head = book.head();
    label.as_of = fmt::format("{}, head {} {}", date_text(today_of(book, options.now)), event_name(head.seq),
                              hex(head.digest).substr(0, 8));
    return label;
}

std::string test_text(const Label& label) {
    return label.test_due ? "to " + month_text(*label.test_due) : "see collar";
}

std::vector<std::pair<std::string, std::string>> label_facts(const Label& l, DisplayUnits units) {
    std::vector<std::pair<std::string, std::string>> out{{"gas", l.gas}};
    if (l.practice) out.emplace(out.begin(), "PRACTICE", "nothing in this book is real");
    const auto add = [&](const char* name, const std::string& value) {
        if (!value.empty()) out.emplace_back(name, value);
    };
    add("condition", l.condition);
    add("owner of gas", l.owner);
    if (!l.bar.empty()) add("DO NOT FILL", l.bar);
    add("STOP AT", l.stop          ? mass_text_down(*l.stop, units) + " gross"
                   : l.bar.empty() ? "not known: ask `tarebook room`"
                                   : "");
    if (l.slow) add("slow down at", mass_text_down(*l.slow, units) + " gross");
    add("TW (tare)", l.tare ? mass_text(*l.tare, units) : "read the collar");
    add("WC (water)", l.water_capacity ? mass_text(*l.water_capacity, units) : "read the collar");
    add("test", test_text(l));
    add("safety group", l.safety);
    if (!l.un.empty())
        add("shipping", fmt::format("{}, {}, {}{}", l.un, l.shipping_name, l.division,
                                    !l.shipping_from_memory ? ""
                                    : l.us                  ? " (from memory: confirm by 49 CFR 172.101)"
                                                            : " (from memory: confirm by the rules of the place)"));
    else if (l.gas != "EMPTY")
        add("shipping", "to be named by a person who knows what is in it");
    for (const auto& caution : l.cautions) add("caution", caution);
    return out;
}

}  // namespace tarebook::report
