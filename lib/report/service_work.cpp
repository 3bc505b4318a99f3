#include "service_work.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "columns.hpp"
#include "shared_text.hpp"
#include "tarebook/rules/identified.hpp"
#include "tarebook/units/accuracy.hpp"
#include "tarebook/units/oil_quantity.hpp"

namespace tarebook::report {
namespace {

using kinds::Compressor;
using kinds::FilterDrier;
using kinds::Identify;
using kinds::Oil;
using kinds::PressureTest;
using kinds::Recover;

template <class Kind>
const Kind& work_in(const StoredEvent& stored) {
    return std::get<Kind>(stored.event.what);
}

std::string worked_on(const FilterDrier& k) {
    return k.circuit ? *k.circuit : "machine " + k.machine.value_or("-");
}
std::string worked_on(const Identify& k) {
    return k.circuit ? *k.circuit : k.cylinder.value_or("-");
}
std::string test_gas_of(const PressureTest& k) {
    return k.gas.value_or("nitrogen");
}

// The pressure at the start less that at the end; nothing unless both were read.
std::optional<PressureDifference> drop_of(const PressureTest& k) {
    const auto start = parse_pressure(k.pressure);
    const auto end = k.end ? parse_pressure(*k.end) : Result<PressureReading>(fail(Error{}));
    if (!start || !end) return std::nullopt;
    return start->absolute(standard_atmosphere()) - end->absolute(standard_atmosphere());
}
bool read_in_metric(const std::string& typed) {
    return typed.find("psi") == std::string::npos;
}
std::string to_step(double value, double step) {
    return fmt::format("{:g}", std::round(value / step) * step);
}
// In psi, or in bar where the reading was.
std::string difference_text(PressureDifference difference, const std::string& as_read) {
    return read_in_metric(as_read) ? to_step(difference.in_kilopascals() / 100, 0.01) + " bar"
                                   : to_step(difference.in_psi(), 0.1) + " psi";
}

// What the gauge would show at the end by the gas law alone: the same nitrogen in the same volume, at the second
// temperature. Nothing unless both temperatures were read.
std::optional<AbsolutePressure> by_temperature_alone(const PressureTest& k) {
    if (!k.temperature || !k.end_temperature) return std::nullopt;
    const auto start = parse_pressure(k.pressure);
    const auto first = parse_temperature(*k.temperature), second = parse_temperature(*k.end_temperature);
    if (!start || !first || !second) return std::nullopt;
    const auto at_first = start->absolute(standard_atmosphere()).in_kilopascals();
    return AbsolutePressure::kilopascals(at_first * second->in_kelvin() / first->in_kelvin());
}
std::string shown_at_end(AbsolutePressure pressure, const std::string& as_read) {
    const auto shown = gauge(pressure, standard_atmosphere());
    return read_in_metric(as_read) ? to_step(shown.in_kilopascals() / 100, 0.01) + " bar (gauge)"
                                   : to_step(shown.in_psig(), 1) + " psig";
}

// As typed, and a volume also in the other unit.
std::string quantity_text(const std::string& typed) {
    const auto quantity = parse_oil_quantity(typed);
    const auto* volume = quantity ? std::get_if<Volume>(&*quantity) : nullptr;
    if (!volume) return typed;
    constexpr double ounces_in_a_litre = 33.8140227;  // NIST Handbook 44, appendix C: 128 to a gallon of 3.785411784 l
    const bool metric = typed.find('m') != std::string::npos || typed.ends_with('l') || typed.ends_with('L') ||
                        typed.find("cc") != std::string::npos;
    const bool is_gallon = typed.find("gal") != std::string::npos;
    if (metric && !is_gallon)
        return fmt::format("{} ({} fl oz)", typed, to_step(volume->in_litres() * ounces_in_a_litre, 0.1));
    return fmt::format("{} ({} ml)", typed, to_step(volume->in_litres() * 1000, 1));
}
std::string with_grade(const Oil& k) {
    std::vector<std::string> parts;
    for (const auto* part : {&k.oil, &k.grade})
        if (*part) parts.push_back(**part);
    return joined(parts, " ");
}
std::string plate_text(const std::optional<std::string>& model, const std::optional<std::string>& serial) {
    if (!model && !serial) return "plate not noted";
    if (!serial) return *model;
    return fmt::format("{}{}serial {}", model.value_or(""), model ? ", " : "", *serial);
}

const Columns<StoredEvent>& pressure_test_columns() {
    using C = Column<PressureTest>;
    static const auto columns =
        Columns<StoredEvent>(event_columns())
            .with(Columns<PressureTest>{{"circuit", "circuit", &PressureTest::circuit},
                                        {"test_gas", "with", [](const PressureTest& k) { return test_gas_of(k); }},
                                        C("pressure_typed", "pressure", &PressureTest::pressure).right(),
                                        C("held_min", "held", &PressureTest::held_min)
                                            .right()
                                            .shown([](const PressureTest& k, DisplayUnits) {
                                                return Cell(k.held_min ? fmt::format("{} min", *k.held_min) : "");
                                            }),
                                        C("end_pressure_typed", "at its end", &PressureTest::end).right().blank(),
                                        C("drop_psi", "drop",
                                          [](const PressureTest& k) {
                                              const auto drop = drop_of(k);
                                              return Field::decimal(drop ? std::optional(drop->in_psi()) : std::nullopt,
                                                                    1);
                                          })
                                            .right()
                                            .shown([](const PressureTest& k, DisplayUnits) {
                                                const auto drop = drop_of(k);
                                                return Cell(drop ? difference_text(*drop, k.pressure) : "");
                                            }),
                                        {"temperature_typed", "", &PressureTest::temperature},
                                        {"end_temperature_typed", "", &PressureTest::end_temperature},
                                        {"test_result", "result", &PressureTest::result}},
                  work_in<PressureTest>);
    return columns;
}
const Columns<StoredEvent>& oil_columns() {
    using C = Column<Oil>;
    static const auto columns = Columns<StoredEvent>(event_columns())
                                    .with(Columns<Oil>{{"circuit", "circuit", &Oil::circuit},
                                                       C("oil", "oil", &Oil::oil).blank(),
                                                       C("oil_grade", "grade", &Oil::grade).blank(),
                                                       C("taken_out_typed", "out", &Oil::taken_out).right().blank(),
                                                       C("put_in_typed", "in", &Oil::put_in).right().blank(),
                                                       C("acid_test", "acid test", &Oil::acid_test).blank()},
                                          work_in<Oil>);
    return columns;
}
const Columns<StoredEvent>& filter_drier_columns() {
    using C = Column<FilterDrier>;
    static const auto columns =
        Columns<StoredEvent>(event_columns())
            .with(Columns<FilterDrier>{{"subject", "of", [](const FilterDrier& k) { return worked_on(k); }},
                                       C("part", "fitted", &FilterDrier::fitted).blank(),
                                       C("removed", "came out", &FilterDrier::removed).blank(),
                                       C("refrigerant", "for", &FilterDrier::refrigerant).blank(),
                                       C("oil", "oil", &FilterDrier::oil).blank(),
                                       C("why", "why", &FilterDrier::why).blank()},
                  work_in<FilterDrier>);
    return columns;
}
const Columns<StoredEvent>& identified_columns() {
    using C = Column<Identify>;
    static const auto columns =
        Columns<StoredEvent>(event_columns())
            .with(
                Columns<Identify>{
                    {"subject", "of", [](const Identify& k) { return worked_on(k); }},
                    C("refrigerant_shown", "shows", &Identify::refrigerant).blank(),
                    C("composition_typed", "percent", &Identify::composition).blank(),
                    C("air_percent", "air",
                      [](const Identify& k) {
                          const auto air = k.air ? Percent::parse(*k.air) : std::nullopt;
                          return Field::decimal(
                              air ? std::optional(static_cast<double>(air->in_thousandths()) / 1000) : std::nullopt, 1);
                      })
                        .right()
                        .shown([](const Identify& k, DisplayUnits) { return Cell(k.air ? *k.air + " %" : ""); }),
                    C("test_result", "result", &Identify::result).blank(),
                    C("instrument", "instrument", &Identify::instrument).blank()},
                work_in<Identify>);
    return columns;
}
const Columns<StoredEvent>& compressor_columns() {
    using C = Column<Compressor>;
    static const auto columns =
        Columns<StoredEvent>(event_columns())
            .with(Columns<Compressor>{{"circuit", "circuit", &Compressor::circuit},
                                      C("position", "which", &Compressor::of).blank(),
                                      C("part", "fitted", &Compressor::fitted).blank(),
                                      C("serial", "serial", &Compressor::fitted_serial).blank(),
                                      C("removed", "came out", &Compressor::removed).blank(),
                                      C("removed_serial", "its serial", &Compressor::removed_serial).blank(),
                                      {"why", "why", &Compressor::why},
                                      C("acid_test", "acid test", &Compressor::acid_test).blank()},
                  work_in<Compressor>);
    return columns;
}

}  // namespace

bool ServiceWork::take(const StoredEvent& stored) {
    const auto& what = stored.event.what;
    auto* list = std::holds_alternative<PressureTest>(what)  ? &pressure_tests
                 : std::holds_alternative<Oil>(what)         ? &oil_changes
                 : std::holds_alternative<FilterDrier>(what) ? &filter_driers
                 : std::holds_alternative<Identify>(what)    ? &identified
                 : std::holds_alternative<Compressor>(what)  ? &compressors
                                                             : nullptr;
    if (list) list->push_back(stored);
    return list;
}

Document service_document(const ServiceWork& w) {
    Document page;
    constexpr auto units = DisplayUnits::lb;  // no mass is in them
    const auto table = [&](const std::string& heading, const std::vector<StoredEvent>& events,
                           const Columns<StoredEvent>& columns, std::initializer_list<HeadingAs> shown) {
        if (!events.empty()) page.gap().heading(heading + ":").table(columns.table(shown, events, units), heading, 2);
    };
    table("Pressure tests", w.pressure_tests, pressure_test_columns(),
          {"event", "circuit", "with", "pressure", "held", "at its end", "drop", "result"});
    table("Oil", w.oil_changes, oil_columns(), {"event", "circuit", "oil", "grade", "out", "in", "acid test"});
    table("Filter-driers", w.filter_driers, filter_drier_columns(),
          {"event", "of", "fitted", "came out", "for", "oil", "why"});
    table("Gas identified", w.identified, identified_columns(),
          {"event", "of", "shows", "percent", "air", "result", "instrument"});
    table("Compressors", w.compressors, compressor_columns(),
          {"event", "circuit", "which", "fitted", "serial", "came out", "its serial", "why", "acid test"});
    return page;
}

void add_service_json(Json& page, const ServiceWork& w) {
    add_facts(page, {{"pressure_tests", pressure_test_columns().json(w.pressure_tests)},
                     {"oil_changes", oil_columns().json(w.oil_changes)},
                     {"filter_driers", filter_drier_columns().json(w.filter_driers)},
                     {"identified", identified_columns().json(w.identified)},
                     {"compressors", compressor_columns().json(w.compressors)}});
}

std::string act_text(const PressureTest& k) {
    return fmt::format("pressure-test {}: {}{}{}: {}", k.circuit, k.pressure,
                       k.held_min ? fmt::format(", held {} min", *k.held_min) : "",
                       k.end ? fmt::format(", {} at its end", *k.end) : "", k.result);
}
std::string act_text(const Oil& k) {
    std::vector<std::string> done;
    if (k.taken_out) done.push_back(*k.taken_out + " out");
    if (k.put_in) done.push_back(*k.put_in + " in");
    if (k.acid_test) done.push_back("acid test " + *k.acid_test);
    const auto kind = with_grade(k);
    return fmt::format("oil {}: {}{}", k.circuit, kind.empty() ? "" : kind + ", ", joined(done));
}
std::string act_text(const FilterDrier& k) {
    return fmt::format("filter-drier {}{}", worked_on(k), k.fitted ? ": " + *k.fitted : "");
}
std::string act_text(const Identify& k) {
    std::vector<std::string> shown;
    if (k.refrigerant) shown.push_back(*k.refrigerant);
    if (k.composition)
        for (const auto& part : identified_parts(*k.composition))
            shown.push_back(fmt::format("{} {} %", part.substance, part.percent.text()));
    if (k.air) shown.push_back(*k.air + " % air");
    if (k.result) shown.push_back(*k.result);
    return fmt::format("identify {}: {}", worked_on(k), joined(shown));
}
std::string act_text(const Compressor& k) {
    return fmt::format("compressor {}{}{}", k.circuit, k.of ? " " + *k.of : "", k.fitted ? ": " + *k.fitted : "");
}

ServiceSaid recorded_service(const PressureTest& k) {
    auto out =
        wrapped(fmt::format("{} tested with {} at {}{}: {}", k.circuit, test_gas_of(k), k.pressure,
                            k.held_min ? fmt::format(", held {} min", *k.held_min) : "; for how long is not on record",
                            k.result),
                0);
    if (const auto drop = drop_of(k)) {
        constexpr auto none = PressureDifference::kilopascals(0);
        out += *drop == none ? fmt::format("no drop: {} at its end\n", *k.end)
                             : fmt::format("{} by {}, to {}\n", none < *drop ? "dropped" : "rose",
                                           difference_text(none < *drop ? *drop : -*drop, k.pressure), *k.end);
    }
    if (const auto expected = by_temperature_alone(k))
        out +=
            wrapped(fmt::format("by its temperature alone ({} to {}) the gauge would show {}: gas law, constant volume",
                                *k.temperature, *k.end_temperature, shown_at_end(*expected, k.pressure)),
                    0);
    if (k.result == "fail")
        out += wrapped("next: let the nitrogen out, then: tarebook leak add " + appliance_of(k.circuit), 0);
    return {
        std::move(out),
        wrapped("caution: dry nitrogen through a regulator with a relief valve, never oxygen, never air; not above the "
                "test pressure that the nameplate marks for the low side, or the weakest part; nitrogen takes the "
                "place of air: ventilate. Local code and the maker's instructions come first",
                0),
        "nitrogen alone, never oxygen or air"};
}
ServiceSaid recorded_service(const Oil& k) {
    const auto kind = with_grade(k);
    std::string out;
    if (k.taken_out) out += fmt::format("oil out of {}: {}\n", k.circuit, quantity_text(*k.taken_out));
    if (k.put_in)
        out +=
            fmt::format("oil into {}: {}{}\n", k.circuit, quantity_text(*k.put_in), kind.empty() ? "" : " of " + kind);
    if (k.acid_test) out += fmt::format("acid test of the oil: {}\n", *k.acid_test);
    if (k.put_in && !k.oil) out += "which oil went in is not on record: --kind POE, as its can says\n";
    return {
        std::move(out),
        wrapped("caution: oil holds gas and may be acid after a burn-out: gloves, goggles, ventilate; used oil goes "
                "where local rules say, apart from other oil",
                0),
        "gloves, goggles, ventilate"};
}
ServiceSaid recorded_service(const FilterDrier& k) {
    auto out = wrapped(fmt::format("filter-drier of {} changed{}{}", worked_on(k), k.fitted ? ": " + *k.fitted : "",
                                   k.removed ? "; came out: " + *k.removed : ""),
                       0);
    if (k.machine)
        return {std::move(out),
                k.refrigerant ? fmt::format("from now on it pumps {}{}\n", *k.refrigerant,
                                            k.oil ? " with " + *k.oil + " oil" : "")
                              : wrapped("which gas it pumps from now on is not on record: --refrigerant GAS tells "
                                        "a wrong one later",
                                        0)};
    return {std::move(out),
            wrapped("caution: the circuit is empty and at the pressure of the air before it is opened; the old one "
                    "holds gas and, after a burn-out, acid: gloves and goggles",
                    0),
            "no pressure in it before it is opened; gloves and goggles"};
}
ServiceSaid recorded_service(const Book& book, const StoredEvent& stored, const Identify& k) {
    const auto act = act_text(k);
    auto out = wrapped(
        fmt::format("{} shows in {}", k.instrument.value_or("the identifier"), act.substr(act.find(' ') + 1)), 0);
    const bool named = k.refrigerant && *k.refrigerant != "mixed" && *k.refrigerant != "unknown";
    if (k.cylinder && named) {
        const auto lots = book.state(*k.cylinder).lots;
        const bool unknown = std::any_of(lots.begin(), lots.end(), [](const Lot& lot) {
            return Mass() < lot.mass && lot.key.refrigerant == "unknown";
        });
        if (unknown)
            out +=
                wrapped(fmt::format("the book has gas of unknown identity in {0}; where this is evidence enough: "
                                    "tarebook reclassify {0} --lot-refrigerant unknown --to-refrigerant {1} --evidence "
                                    "\"{2}\"",
                                    *k.cylinder, *k.refrigerant, event_ref(book, stored)),
                        0);
    }
    return {std::move(out),
            wrapped("caution: an identifier does not tell all blends apart; a laboratory does. The sample that it lets "
                    "out may burn, and takes the place of air: ventilate, no flame or spark",
                    0),
            "ventilate, no flame or spark"};
}
ServiceSaid recorded_service(const Compressor& k) {
    auto out = wrapped(fmt::format("compressor{} of {} replaced: {}", k.of ? " " + *k.of : "", k.circuit, k.why), 0);
    if (k.fitted || k.fitted_serial) out += "fitted    " + plate_text(k.fitted, k.fitted_serial) + "\n";
    if (k.removed || k.removed_serial) out += "came out  " + plate_text(k.removed, k.removed_serial) + "\n";
    if (k.acid_test) out += fmt::format("acid test of the old oil: {}\n", *k.acid_test);
    if (k.acid_test == "fail")
        out += wrapped(
            "acid: new filter-driers on both sides, new oil, and both again until a test passes (common practice, "
            "no source)",
            0);
    return {std::move(out),
            wrapped("caution: lock out and discharge its electrical parts, gas out before it is opened, nitrogen "
                    "flowing before heat; what came out holds oil and gas. The maker's instructions come first",
                    0),
            "power locked out, gas out, nitrogen flowing before heat"};
}

std::string told_to_owner(const PressureTest& k) {
    return fmt::format("{} tested with {} at {}{}{}: {}", k.circuit, test_gas_of(k), k.pressure,
                       k.held_min ? fmt::format(", held {} min", *k.held_min) : "",
                       k.end ? fmt::format(", {} at its end", *k.end) : "", k.result == "pass" ? "passed" : "FAILED");
}
std::string told_to_owner(const Oil& k) {
    const auto kind = with_grade(k);
    std::vector<std::string> done;
    if (k.taken_out) done.push_back(*k.taken_out + " taken out");
    if (k.put_in) done.push_back(fmt::format("{}{} put in", *k.put_in, kind.empty() ? "" : " of " + kind));
    if (k.acid_test) done.push_back("acid test: " + *k.acid_test);
    return fmt::format("oil of {}: {}", k.circuit, joined(done));
}
std::string told_to_owner(const FilterDrier& k) {
    return k.circuit ? fmt::format("filter-drier of {} changed{}", *k.circuit, k.why ? ": " + *k.why : "") : "";
}
std::string told_to_owner(const Identify& k) {
    if (!k.circuit) return {};
    const auto act = act_text(k);
    return fmt::format("gas of {} looked at with an identifier{}", *k.circuit, act.substr(act.find(": ")));
}
std::string told_to_owner(const Compressor& k) {
    return fmt::format("compressor{} of {} replaced: {}{}", k.of ? " " + *k.of : "", k.circuit, k.why,
                       k.acid_test ? "; acid test of the old oil: " + *k.acid_test : "");
}

std::vector<std::string> service_parts(const ServiceWork& w) {
    std::vector<std::string> out;
    const auto came_out = [](const std::string& what) { return what.empty() ? "" : "; came out: " + what; };
    for (const auto& stored : w.filter_driers)
        if (const auto& k = work_in<FilterDrier>(stored); k.circuit)
            out.push_back(fmt::format("1 x filter-drier{}, {}{}", k.fitted ? " " + *k.fitted : "", *k.circuit,
                                      came_out(k.removed.value_or(""))));
    for (const auto& stored : w.compressors) {
        const auto& k = work_in<Compressor>(stored);
        const bool any_old = k.removed || k.removed_serial;
        out.push_back(fmt::format("1 x compressor, {}, {}{}", plate_text(k.fitted, k.fitted_serial), k.circuit,
                                  came_out(any_old ? plate_text(k.removed, k.removed_serial) : "")));
    }
    for (const auto& stored : w.oil_changes)
        if (const auto& k = work_in<Oil>(stored); k.put_in)
            out.push_back(fmt::format("{} of {}oil, {}", quantity_text(*k.put_in),
                                      with_grade(k).empty() ? "" : with_grade(k) + " ", k.circuit));
    return out;
}

std::string burnt_out_since_drier(const Book& book, const StoredEvent& stored) {
    const auto* k = std::get_if<Recover>(&stored.event.what);
    const auto* machine = k && k->machine ? book.entries().find(EntryKind::machine, *k->machine) : nullptr;
    const auto order = stored.event.order();
    const auto since = machine ? machine->text("drier_changed", order) : std::nullopt;
    if (!since) return {};
    const auto& changes = machine->fields().find("drier_changed")->second;
    std::optional<OrderKey> from;
    for (const auto& change : changes)
        if (change.from < order) from = change.from;
    if (!from) return {};
    std::string worst;
    for (const auto& other : book.recoveries_since(from->at)) {
        const auto& before = work_in<Recover>(other);
        if (before.machine != k->machine || !before.gas || *before.gas == "clean") continue;
        if (other.event.order() < order && *from < other.event.order())
            worst = fmt::format("{} gas ({})", *before.gas, event_ref(book, other));
    }
    if (worst.empty()) return {};
    return wrapped(
        fmt::format("note: {} went through machine {} since its filter-drier was changed on {}: change it, and "
                    "its oil, before other gas goes through (common practice, no source)",
                    worst, *k->machine, *since),
        0);
}

}  // namespace tarebook::report
