#include "expected.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "pressure_text.hpp"
#include "shared_text.hpp"
#include "table.hpp"
#include "tarebook/refrigerant/vapor.hpp"

namespace tarebook::report {
namespace {

// Without a reading of a thermometer. Stated on the page each time; common practice, no source.
constexpr auto assumed_liquid = Temperature::fahrenheit(80);
constexpr auto assumed_suction = Temperature::fahrenheit(60);
constexpr auto assumed_standing = Temperature::fahrenheit(70);

// Estimates carry no more digits than they are worth.
Mass rounded(Mass mass, Mass step) {
    return (mass + scaled(step, 1, 2)).rounded_down_to(step);
}
Mass worth_showing(Mass mass) {
    const Mass fine = Mass::thousandths_of_a_pound(1);
    if (mass < fine) return mass;
    return rounded(mass, mass < Mass::pounds(1) ? fine : Mass::thousandths_of_a_pound(10));
}

OrderKey now_and_later() {
    return order_at(Instant::max());
}

// The circuit's own usual suction pressure; else that of another circuit of its appliance on the same suction group.
std::optional<std::string> usual_suction_pressure(const Book& book, const Entry& circuit) {
    const auto when = now_and_later();
    if (const auto own = circuit.text("suction_pressure", when)) return own;
    const auto group = circuit.text("suction_group", when);
    if (!group) return std::nullopt;
    const auto appliance = appliance_of(circuit.code());
    for (const auto& code : book.codes(EntryKind::circuit)) {
        if (appliance_of(code) != appliance) continue;
        const auto* other = book.entries().find(EntryKind::circuit, code);
        if (!other || other->text("suction_group", when) != group) continue;
        if (const auto pressure = other->text("suction_pressure", when)) return pressure;
    }
    return std::nullopt;
}

}  // namespace

std::optional<PressureReading> reading_of(const std::optional<std::string>& typed) {
    if (!typed) return std::nullopt;
    auto reading = parse_pressure(*typed);
    if (!reading) return std::nullopt;  // words of a time before they had to be a pressure
    return std::move(*reading);
}

namespace {

/// How the circuit stands, with what had to be assumed said.
class Assumptions {
 public:
    Assumptions(const Book& book, const ExpectQuestion& question, const Refrigerant& gas, const Entry& circuit,
                DisplayUnits units)
        : book_(book), question_(question), gas_(gas), circuit_(circuit), units_(units) {}

    CircuitConditions conditions(ExpectView& view) {
        CircuitConditions s;
        s.units = units_;
        const auto standard = question_.pressure ? assumed_standing : assumed_suction;
        s.vapor = question_.at.value_or(standard);
        if (question_.pressure)
            pumped_down(s, view);
        else
            working(s, view);
        view.vapor = s.vapor;
        return s;
    }

 private:
    [[nodiscard]] std::string degrees(Temperature t, bool assumed) const {
        return temperature_text(t, units_) + (assumed ? " (assumed)" : "");
    }
    void pumped_down(CircuitConditions& s, ExpectView& view) const {
        s.vapor_pressure = question_.pressure->absolute(question_.barometer.pressure);
        const auto warm = degrees(s.vapor, !question_.at);
        if (const auto point = saturation_at(gas_, s.vapor); point && *s.vapor_pressure > point->dew) {
            // The pressure of liquid and vapour together does not say how much liquid: reckoned as full as it can work.
            s.liquid = s.vapor;
            s.vapor_pressure = point->dew;
            view.assumed.push_back(
                fmt::format("at {} {} condenses below {}: there is LIQUID in it, and the pressure does not say how "
                            "much; reckoned with liquid lines full",
                            warm, gas_.designation, question_.pressure->typed));
            return;
        }
        view.vapor_only = true;
        view.assumed.push_back(fmt::format("the whole circuit at {} and {}: vapour only, no liquid line is full",
                                           question_.pressure->typed, warm));
    }
    void working(CircuitConditions& s, ExpectView& view) const {
        s.liquid = question_.liquid_at.value_or(assumed_liquid);
        view.assumed.push_back(fmt::format("it was working when its valves were shut: liquid lines full, at {}",
                                           degrees(*s.liquid, !question_.liquid_at)));
        const auto reading = reading_of(usual_suction_pressure(book_, circuit_));
        if (!reading) {
            view.assumed.emplace_back(
                "suction pressure is not on record: the vapour of the suction side is left out; give it with "
                "--pressure, or put --suction-pressure on record");
            return;
        }
        s.vapor_pressure = reading->absolute(question_.barometer.pressure);
        const auto warm = degrees(s.vapor, !question_.at);
        if (const auto point = saturation_at(gas_, s.vapor); point && *s.vapor_pressure > point->dew) {
            s.vapor_pressure = point->dew;
            view.assumed.push_back(fmt::format("suction side saturated at {}", warm));
            return;
        }
        view.assumed.push_back(fmt::format("suction side at its usual {} and {}", reading->typed, warm));
    }

    const Book& book_;
    const ExpectQuestion& question_;
    const Refrigerant& gas_;
    const Entry& circuit_;
    DisplayUnits units_;
};

Result<std::vector<LeftBehind>> left_behind(const ExpectQuestion& question, const ExpectView& view,
                                            const Piping& piping, DisplayUnits units) {
    std::vector<PressureReading> asked;
    if (question.left) {
        asked.push_back(*question.left);
    } else {
        for (const char* usual : {"0psig", "10inHg"}) asked.push_back(*parse_pressure(usual));
        if (units == DisplayUnits::kg) asked[0].typed = "0 barg", asked[1].typed = "-0.34 barg";
    }
    std::vector<LeftBehind> out;
    for (const auto& reading : asked) {
        const auto pressure = reading.absolute(question.barometer.pressure);
        const auto left = vapor_left(*view.gas, piping, pressure, view.vapor);
        if (!left) return fail(left.error());
        out.push_back({reading.typed, worth_showing(*left)});
    }
    return out;
}

}  // namespace

std::string estimate_text(Mass mass, DisplayUnits units) {
    if (mass.is_zero()) return "none";
    const Mass fine = Mass::thousandths_of_a_pound(1);
    if (mass < fine) return "under " + mass_text(fine, units);
    if (units == DisplayUnits::kg)
        return fmt::format("{:.{}f} kg", mass.in_kilograms(), mass.in_kilograms() < 1 ? 3 : 2);
    return fmt::format("{:.{}f} lb", mass.in_pounds(), mass < Mass::pounds(1) ? 3 : 2);
}

Mass ExpectView::to_recover(const LeftBehind& behind) const {
    return std::max(charge.total() - behind.mass, Mass());
}
SanityRange ExpectView::range(Mass expected) {
    return {worth_showing(scaled(expected, 1, 2)), worth_showing(scaled(expected, 3, 2))};
}

bool has_piping(const Book& book, std::string_view circuit) {
    const auto* entry = book.entries().find(EntryKind::circuit, circuit);
    return entry && (entry->text("pipes", now_and_later()) || entry->text("volumes", now_and_later()));
}

Result<ExpectView> expect_view(const Book& book, const ExpectQuestion& question, DisplayUnits units) {
    if (auto known = entry_exists(book, EntryKind::circuit, question.circuit); !known) return fail(known.error());
    const auto& circuit = *book.entries().find(EntryKind::circuit, question.circuit);
    const auto when = now_and_later();
    const auto piping =
        parse_piping(circuit.text("pipes", when).value_or(""), circuit.text("volumes", when).value_or(""));
    if (!piping) return fail(piping.error());
    if (piping->empty())
        return fail({ErrorKind::refused, "no-piping",
                     fmt::format("the piping of {} is not on record", question.circuit), question.circuit,
                     "pipes, or volumes of its components",
                     fmt::format("tarebook circuit correct {} --pipe \"liquid 5/8 hard 120ft\" --pipe \"suction 1-3/8 "
                                 "hard 120ft\"",
                                 question.circuit)});
    const auto place = place_facts(book.entries(), question.circuit, when);
    ExpectView view;
    view.gas = place ? book.catalogue().find(place->refrigerant) : nullptr;
    if (!view.gas && place && !place->refrigerant.empty())
        return fail(
            {ErrorKind::refused, "circuit-refrigerant-unknown",
             fmt::format("{} of {} is not in the catalogue", place->refrigerant, appliance_of(question.circuit)),
             place->refrigerant, "a refrigerant of the catalogue or of a file of your own",
             "give the file that has it, --refrigerants"});
    if (!view.gas)
        return fail({ErrorKind::refused, "circuit-refrigerant-unknown",
                     fmt::format("which refrigerant {} holds is not on record", appliance_of(question.circuit)),
                     question.circuit, "an appliance with its refrigerant",
                     fmt::format("tarebook appliance correct {} --refrigerant R", appliance_of(question.circuit))});
    const auto conditions = Assumptions(book, question, *view.gas, circuit, units).conditions(view);
    auto charge = expected_charge(*view.gas, *piping, conditions);
    if (!charge) return fail(charge.error());
    // Parts and sums to the digits that are shown, so that a column adds up.
    view.charge = std::move(*charge);
    view.charge.liquid = view.charge.vapor = Mass();
    for (auto& part : view.charge.parts) {
        view.charge.liquid += part.liquid = worth_showing(part.liquid);
        if (part.vapor) view.charge.vapor += *(part.vapor = worth_showing(*part.vapor));
    }
    view.charge.liquid = worth_showing(view.charge.liquid);
    view.charge.vapor = worth_showing(view.charge.vapor);
    auto left = left_behind(question, view, *piping, units);
    if (!left) return fail(left.error());
    view.left = std::move(*left);
    return view;
}

std::string expected_sum(const ExpectView& view, DisplayUnits units) {
    return fmt::format("{}: liquid {}, vapour {}{}", estimate_text(view.charge.total(), units),
                       estimate_text(view.charge.liquid, units), estimate_text(view.charge.vapor, units),
                       view.charge.vapor_unknown ? " (not all of it is known)" : "");
}

Columns<ChargePart> part_columns(DisplayUnits units) {
    using C = Column<ChargePart>;
    const bool metric = units == DisplayUnits::kg;
    return {{"part", "part", &ChargePart::words},
            C("volume_ft3", metric ? "litres" : "ft3",
              [](const ChargePart& p) { return Field::decimal(p.volume.in_cubic_feet(), 4); })
                .shown([](const ChargePart& p, DisplayUnits shown) {
                    return Cell(shown == DisplayUnits::kg ? fmt::format("{:.2f}", p.volume.in_litres())
                                                          : fmt::format("{:.4f}", p.volume.in_cubic_feet()));
                })
                .right(),
            C("liquid", "liquid", &ChargePart::liquid).shown([](const ChargePart& p, DisplayUnits shown) {
                return Cell(p.liquid.is_zero() ? "" : estimate_text(p.liquid, shown));
            }),
            C("vapor", "vapour", &ChargePart::vapor).shown([](const ChargePart& p, DisplayUnits shown) {
                return Cell(!p.vapor ? "not known" : p.vapor->is_zero() ? "" : estimate_text(*p.vapor, shown));
            })};
}

Json expect_json(const ExpectView& view) {
    Json left = Json::array();
    for (const auto& behind : view.left) {
        const auto expected = view.to_recover(behind);
        const auto range = ExpectView::range(expected);
        left.push(facts({{"vacuum_typed", behind.at},
                         {"left", behind.mass},
                         {"to_recover", expected},
                         {"low", range.low},
                         {"high", range.high}}));
    }
    return facts({{"refrigerant", view.gas->designation},
                  {"expected", view.charge.total()},
                  {"liquid", view.charge.liquid},
                  {"vapor", view.charge.vapor},
                  {"vapor_unknown", view.charge.vapor_unknown},
                  {"vapor_only", view.vapor_only},
                  {"parts", part_columns(DisplayUnits::lb).json(view.charge.parts)},
                  {"by_vacuum", std::move(left)},
                  {"range", range_words},
                  {"assumed", view.assumed}});
}

}  // namespace tarebook::report
