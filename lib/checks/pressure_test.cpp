// What a circuit was tested with, how high, and whether it held.
#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "all_checks.hpp"
#include "tarebook/units/quantity.hpp"

namespace tarebook::checks {
namespace {

// The words of a text in small letters, without what stands between them.
std::vector<std::string> words_in(const std::string& text) {
    std::vector<std::string> out(1);
    for (const char c : text) {
        if (std::isalnum(static_cast<unsigned char>(c)) != 0)
            out.back() += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
        else if (!out.back().empty())
            out.emplace_back();
    }
    return out;
}

}  // namespace

// Oxygen, or the oxygen of air, and oil under pressure explode (the usual caution of the trade, no source).
Findings test_gas(const Context& c) {
    const auto* k = c.as<kinds::PressureTest>();
    if (!k || !k->gas) return {};
    const auto words = words_in(*k->gas);
    const bool burns_oil = std::any_of(words.begin(), words.end(), [](const std::string& word) {
        return word == "oxygen" || word == "o2" || word == "air" || word == "acetylene";
    });
    if (!burns_oil) return {};
    auto f = about(
        k->circuit, fmt::format("{} was tested with {}: with oil under pressure that can explode", k->circuit, *k->gas),
        *k->gas, "dry nitrogen, through a regulator with a relief valve",
        "stop, let the pressure off from a distance, and ask a licensed person before anything else is done");
    f.question = fmt::format("{} and oil can explode: was it tested with {}?", *k->gas, *k->gas);
    return {f};
}

namespace {

// The plate's pressure for a test: of the circuit's side, else of the appliance.
struct Marking {
    std::string of, typed;
    PressureReading reading;
};
std::optional<Marking> marking_of(const Context& c, const std::string& circuit) {
    const auto said = [&](EntryKind kind, const std::string& code, const char* field) -> std::optional<Marking> {
        const auto* entry = c.reg.find(kind, code);
        const auto typed = entry ? entry->text(field, c.order) : std::nullopt;
        const auto reading = typed ? parse_pressure(*typed) : Result<PressureReading>(fail(Error{}));
        if (!reading) return std::nullopt;
        return Marking{code, *typed, *reading};
    };
    auto out = said(EntryKind::circuit, circuit, "side_test_pressure");
    return out ? out : said(EntryKind::appliance, appliance_of(circuit), "test_pressure");
}

std::string psi_text(double kilopascals, DisplayUnits units) {
    return units == DisplayUnits::kg ? fmt::format("{:.2f} bar", kilopascals / 100)
                                     : fmt::format("{:.0f} psi", kilopascals / AbsolutePressure::kpa_per_psi);
}

}  // namespace

Findings pressure_over_marking(const Context& c) {
    const auto* k = c.as<kinds::PressureTest>();
    const auto tested = k ? parse_pressure(k->pressure) : Result<PressureReading>(fail(Error{}));
    const auto marking = tested ? marking_of(c, k->circuit) : std::nullopt;
    if (!marking) return {};
    const auto most = marking->reading.absolute(standard_atmosphere()).in_kilopascals();
    // What is typed in other units than the plate's differs in its last digits.
    constexpr double rounding = 1.0005;
    if (tested->absolute(standard_atmosphere()).in_kilopascals() <= most * rounding) return {};
    auto f = about(k->circuit,
                   fmt::format("{} was tested at {}; the plate of {} marks {}", k->circuit, k->pressure, marking->of,
                               marking->typed),
                   k->pressure, fmt::format("{} at most", marking->typed),
                   "let it off slowly; look whether a part gave way, and ask the maker or a licensed person before it "
                   "is charged");
    f.question = fmt::format("the plate marks {}: was it tested at {}?", marking->typed, k->pressure);
    return {f};
}

// By the gas law at constant volume where both temperatures are on record.
Findings pressure_fell(const Context& c) {
    // Common practice, no source: what gauge and thermometer explain; without temperatures, what 25 F make at 70 F.
    constexpr double explained_by_gauges = 0.02, explained_by_weather = 0.05;
    const auto* k = c.as<kinds::PressureTest>();
    if (!k || k->result != "pass" || !k->end) return {};
    const auto start = parse_pressure(k->pressure), end = parse_pressure(*k->end);
    if (!start || !end) return {};
    const double at_start = start->absolute(standard_atmosphere()).in_kilopascals();
    const double at_end = end->absolute(standard_atmosphere()).in_kilopascals();
    double expected = at_start;
    bool by_temperature = false;
    if (k->temperature && k->end_temperature) {
        const auto first = parse_temperature(*k->temperature), second = parse_temperature(*k->end_temperature);
        by_temperature = first && second;
        if (by_temperature) expected *= second->in_kelvin() / first->in_kelvin();
    }
    const double fell = expected - at_end;
    if (fell <= (by_temperature ? explained_by_gauges : explained_by_weather) * expected) return {};
    auto f = about(
        k->circuit,
        fmt::format("{} is recorded as passed, and its pressure fell from {} to {}: {} {}", k->circuit, k->pressure,
                    *k->end, psi_text(fell, c.reg.units),
                    by_temperature ? "more than its temperature explains" : "with no temperatures on record"),
        *k->end,
        by_temperature ? std::string("what its temperatures give, within 2 % (common practice, no source)")
                       : fmt::format("a fall of 5 % at most, as {} would make (common practice, no source)",
                                     c.reg.units == DisplayUnits::kg ? "14 C" : "25 F"),
        by_temperature ? "look for the leak before it is evacuated; if it did hold, void this and record what was read"
                       : "look for the leak before it is evacuated; with --temperature and --end-temperature the book "
                         "reckons the weather out");
    f.question = fmt::format("{} to {}: did it pass?", k->pressure, *k->end);
    return {f};
}

}  // namespace tarebook::checks
