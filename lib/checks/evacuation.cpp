// Whether a recovery reached the vacuum that a rule asks for before its appliance is opened.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "all_checks.hpp"
#include "tarebook/checks/needed_vacuum.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/units/atmosphere.hpp"

namespace tarebook {
namespace {

std::string_view class_word(PressureClass c) {
    switch (c) {
        case PressureClass::very_high:
            return "very high-pressure";
        case PressureClass::high:
            return "high-pressure";
        case PressureClass::medium:
            return "medium-pressure";
        case PressureClass::low:
            break;
    }
    return "low-pressure";
}

std::optional<Date> machine_made(const Register& reg, const std::optional<std::string>& machine, const OrderKey& when) {
    if (!machine) return std::nullopt;
    const auto* entry = reg.find(EntryKind::machine, *machine);
    const auto made = entry ? entry->text("made", when) : std::nullopt;
    if (!made) return std::nullopt;
    const auto date = parse_date(*made);
    return date ? std::optional(*date) : std::nullopt;
}

}  // namespace

bool asks_for_vacuum(Reason reason) {
    return reason == Reason::open || reason == Reason::disposal || reason == Reason::conversion;
}

std::optional<RuleSubject> checks::subject_of(const Catalogue& catalogue, const Register& reg, std::string_view circuit,
                                              const OrderKey& when) {
    const auto place = place_facts(reg, circuit, when);
    if (!place || place->refrigerant.empty()) return std::nullopt;
    RuleSubject out;
    out.refrigerant = catalogue.find(place->refrigerant);
    if (!out.refrigerant) return std::nullopt;
    out.full_charge = place->full_charge;
    const auto* appliance = reg.find(EntryKind::appliance, place->appliance);
    if (const auto category = appliance->text("category", when)) out.category = appliance_category_from(*category);
    out.hermetic = appliance->text("hermetic", when) == "yes";
    out.listed_use = appliance->text("listed_use", when) == "yes";
    return out;
}
namespace {
using checks::subject_of;
Percent share_of(const EvacuationNeed& need, const std::optional<std::string>& compressor) {
    const auto& terms = need.match.as<terms::SmallApplianceRecovery>();
    return compressor == "does-not-run" ? terms.compressor_not_running : terms.compressor_running;
}
}  // namespace

std::optional<EvacuationNeed> needed_vacuum(const ReferenceData& data, const Register& reg, std::string_view circuit,
                                            const std::optional<std::string>& machine, const OrderKey& when, Date on) {
    const auto subject = subject_of(data.catalogue, reg, circuit, when);
    if (!subject) return std::nullopt;
    const auto need =
        evacuation_need(packs_of_place(data.rules, reg, circuit, when), *subject, machine_made(reg, machine, when), on);
    return need ? *need : std::nullopt;
}

std::optional<RuleMatch> exempt_from_recovery(const ReferenceData& data, const Register& reg, std::string_view circuit,
                                              const OrderKey& when, Date on) {
    const auto subject = subject_of(data.catalogue, reg, circuit, when);
    return subject ? exempt_substitute(packs_of_place(data.rules, reg, circuit, when), *subject, on) : std::nullopt;
}

std::string needed_vacuum_brief(const EvacuationNeed& need, const std::optional<std::string>& compressor,
                                DisplayUnits units) {
    const auto level = level_text(need.level, units);
    if (!need.small_appliance) return level;
    return fmt::format("{}, or {} % of its full charge", level, share_of(need, compressor).text());
}

std::string needed_vacuum_text(const EvacuationNeed& need, const Refrigerant& gas,
                               const std::optional<Mass>& full_charge, DisplayUnits units) {
    const auto whole_pounds = [&](const Mass& mass) {
        return units == DisplayUnits::kg ? mass_text_to_thousandth(mass, units) : pounds_text(mass) + " lb";
    };
    const auto* to_confirm = need.match.status() == RuleStatus::to_confirm ? ", to be confirmed" : "";
    if (need.small_appliance)
        return fmt::format(
            "{}, {} % where its compressor does not run ({}{}): a small appliance, factory sealed with {} of "
            "{}",
            needed_vacuum_brief(need, {}, units), share_of(need, "does-not-run").text(), need.match.rule->clause,
            to_confirm, full_charge ? whole_pounds(*full_charge) : "an unknown charge", gas.designation);
    std::string text = fmt::format("{} ({}{}): {} is a {} gas", level_text(need.level, units), need.match.rule->clause,
                                   to_confirm, gas.designation, class_word(need.pressure_class.pressure_class));
    if (substance_classes(gas) == std::vector{SubstanceClass::hydrocarbon})
        text +=
            ", exempt only in the uses that 40 CFR 82.154(a)(1) lists (tarebook appliance correct: --listed-use yes)";
    if (need.stricter_of_two) text += ", within 5 % of the next class: the stricter level";
    text += full_charge ? fmt::format(", full charge {}", whole_pounds(*full_charge))
                        : std::string(need.full_charge_unknown ? ", full charge not on record: the strictest row" : "");
    if (need.machine_date_unknown) text += ", for a machine made since 15 November 1993";
    return text;
}

Result<std::string> parse_vacuum_exception(std::string_view text) {
    for (const std::string_view word : {"leaking: ", "non-major: ", "oil-change: "})
        if (text.starts_with(word) && text.find_first_not_of(" \t", word.size()) != std::string_view::npos)
            return std::string(text);
    return fail(
        {ErrorKind::usage, "vacuum-exception", "an exception from the vacuum names its kind and the reason",
         std::string(text), "\"leaking: WHY\", \"non-major: WHY\" or \"oil-change: WHY\"",
         "leaking: the leak makes it unattainable; non-major: no compressor, condenser, evaporator or auxiliary "
         "coil comes out, nor is there an opening over 4 sq in for over 15 minutes, and it is not evacuated to "
         "the air afterwards; oil-change: for that alone (40 CFR 82.156(a), 82.152)"});
}

std::optional<VacuumHeld> vacuum_held(const kinds::Evacuate& k, AbsolutePressure barometer) {
    const auto vacuum = k.vacuum ? parse_pressure(*k.vacuum) : Result<PressureReading>(fail(Error{}));
    if (!vacuum) return std::nullopt;
    const auto reached = vacuum->absolute(barometer);
    const auto rise = k.rise ? parse_pressure(*k.rise) : Result<PressureReading>(fail(Error{}));
    if (!rise) return VacuumHeld{reached, reached};
    const auto* typed = std::get_if<AbsolutePressure>(&rise->value);
    // A gauge shows where the pressure stood after holding, never by how much it rose.
    if (!typed) return VacuumHeld{reached, std::max(reached, rise->absolute(barometer))};
    const auto sum = AbsolutePressure::kilopascals(reached.in_kilopascals() + typed->in_kilopascals());
    return VacuumHeld{reached, *typed < reached ? sum : *typed};
}

namespace checks {
namespace {

// A vacuum as it was typed, and the place where the gauge hung.
struct VacuumRead {
    std::string subject, typed;
    PressureReading reading;
    std::optional<Altitude> height;
};
std::optional<Altitude> height_of(const Context& c, const std::string& circuit) {
    const auto* site = c.reg.find(EntryKind::site, site_of(circuit));
    const auto said = site ? site->text("altitude", c.order) : std::nullopt;
    const auto height = said ? parse_altitude(*said) : Result<Altitude>(fail(Error{}));
    return height ? std::optional(*height) : std::nullopt;
}
AbsolutePressure barometer_of(const Context& c, const std::string& circuit) {
    const auto height = height_of(c, circuit);
    return height ? barometer_at(*height) : standard_atmosphere();
}
std::vector<VacuumRead> vacuums_read(const Context& c) {
    std::vector<VacuumRead> out;
    const auto add = [&](const std::optional<std::string>& circuit, const std::optional<std::string>& cylinder,
                         const std::optional<std::string>& typed) {
        const auto reading = typed ? parse_pressure(*typed) : Result<PressureReading>(fail(Error{}));
        if (!reading) return;
        out.push_back({circuit ? *circuit : cylinder.value_or(""), *typed, *reading,
                       circuit ? height_of(c, *circuit) : std::nullopt});
    };
    if (const auto* k = c.as<kinds::Recover>()) add(k->circuit, {}, k->vacuum);
    if (const auto* k = c.as<kinds::Evacuate>()) add(k->circuit, k->cylinder, k->vacuum);
    return out;
}

std::string inhg(double value) {
    return fmt::format("{:g} inHg", std::round(value * 100) / 100);
}

// The reading of a compound gauge below the barometer, in inches of mercury; nothing for an absolute one or one above
// it.
std::optional<double> inches_of_vacuum(const PressureReading& reading) {
    const auto* gauge = std::get_if<GaugePressure>(&reading.value);
    if (!gauge || gauge->in_inhg_vacuum() <= 0) return std::nullopt;
    return gauge->in_inhg_vacuum();
}

// How far a vacuum may rise while it is held, as a multiple of the level that is asked for: common practice, no source.
constexpr double most_after_holding = 2;

std::string micron_text(AbsolutePressure pressure) {
    return fmt::format("{:.0f} micron", pressure.in_microns());
}

// Where it stood after holding: a reading of a gauge as it was typed, and what it means.
std::string stood_text(const kinds::Evacuate& k, const VacuumHeld& found) {
    const auto rise = k.rise ? parse_pressure(*k.rise) : Result<PressureReading>(fail(Error{}));
    const auto* gauge = rise ? std::get_if<GaugePressure>(&rise->value) : nullptr;
    if (!gauge) return micron_text(found.after);
    return gauge->in_kilopascals() < 0 ? fmt::format("{}, {} by the barometer", *k.rise, micron_text(found.after))
                                       : fmt::format("{}, the pressure of the air: the vacuum was lost", *k.rise);
}

// The vacuum that the register asks of the appliance, as typed.
std::optional<std::string> asked_of(const Context& c, const std::string& circuit) {
    const auto* appliance = c.reg.find(EntryKind::appliance, appliance_of(circuit));
    return appliance ? appliance->text("evacuate_to", c.order) : std::nullopt;
}

// An exception replaces the level by its own one: 0 psig, and 5 psig for an oil change. Empty if no rule gives that
// exception.
std::optional<GaugePressure> most_allowed(const EvacuationNeed& need, std::string_view exception) {
    const auto word = exception.substr(0, exception.find(':'));
    for (const auto& m : need.exceptions)
        if (m.as<terms::EvacuationException>().exception == word) return m.as<terms::EvacuationException>().at_most;
    return std::nullopt;
}

bool took_the_share(const Context& c, const kinds::Recover& k, const EvacuationNeed& need) {
    const auto* e = need.small_appliance ? c.effect(k.into) : nullptr;
    const auto& place = c.place(k.circuit);
    if (!e || !place || !place->full_charge || e->moved.is_negative()) return false;
    return reaches(Ratio::of(e->moved, *place->full_charge), Comparison::at_least, share_of(need, k.compressor));
}

std::string most_text(GaugePressure most, DisplayUnits units) {
    return units == DisplayUnits::kg ? fmt::format("{:.2f} barg", most.in_kilopascals() / 100)
                                     : fmt::format("{:g} psig", std::round(most.in_psig() * 1000) / 1000);
}

}  // namespace

Findings vacuum_short(const Context& c) {
    const auto* k = c.as<kinds::Recover>();
    if (!k || !k->vacuum || !asks_for_vacuum(k->reason)) return {};
    const auto got = parse_pressure(*k->vacuum);
    if (!got) return {};
    const auto need = needed_vacuum(c.data, c.reg, k->circuit, k->machine, c.order, c.event.when.date());
    if (!need || took_the_share(c, *k, *need)) return {};
    const auto allowed = k->vacuum_exception ? most_allowed(*need, *k->vacuum_exception) : std::nullopt;
    const PressureLevel level = allowed ? PressureLevel(*allowed) : need->level;
    if (reaches_level(*got, level, standard_atmosphere())) return {};
    return {{.check = {},
             .subject = k->circuit,
             .text = allowed ? fmt::format("{} was left at {}, above {}, the most that its exception allows",
                                           k->circuit, *k->vacuum, most_text(*allowed, c.reg.units))
                             : fmt::format("{} was brought to {}; {} asks for {}", k->circuit, *k->vacuum,
                                           need->match.rule->clause,
                                           needed_vacuum_brief(*need, k->compressor, c.reg.units)),
             .seen = *k->vacuum,
             .expected = allowed ? most_text(*allowed, c.reg.units) + " at most"
                                 : needed_vacuum_brief(*need, k->compressor, c.reg.units),
             .next = "keep recovering down to the level, or name the exception that holds and why: --vacuum-exception "
                     "\"leaking: "
                     "...\", \"non-major: ...\" or \"oil-change: ...\"",
             .question = {},
             .accepted = {}}};
}

Findings vacuum_not_readable(const Context& c) {
    // Weather moves the barometer by 3 %. A gauge to 30 inHg is read to half an inch (common practice, no source).
    constexpr double weather = 1.03, finest = 0.5;
    Findings out;
    for (const auto& read : vacuums_read(c)) {
        const auto typed = inches_of_vacuum(read.reading);
        if (!typed) continue;
        const auto barometer = read.height ? barometer_at(*read.height) : standard_atmosphere();
        const double deepest = barometer.in_kilopascals() / AbsolutePressure::kpa_per_inhg;
        const bool too_deep = read.height && deepest * weather < *typed;
        if (!too_deep && *typed <= deepest - finest) continue;
        auto f = about(
            read.subject,
            too_deep
                ? fmt::format("{} is deeper than the barometer there gives: {} at {:.0f} ft (ISO 2533), 3 % more "
                              "at most with the weather",
                              read.typed, inhg(deepest), read.height->in_feet())
                : fmt::format("{} is within half an inch of a perfect vacuum ({}{}), and a gauge of 30 inHg is read "
                              "to half an inch at best (common practice, no source)",
                              read.typed, inhg(deepest),
                              read.height ? fmt::format(" at {:.0f} ft", read.height->in_feet())
                                          : std::string(" at sea level")),
            read.typed, fmt::format("at most {} on a gauge that hangs there", inhg(deepest - finest)),
            "read so deep a vacuum with a micron gauge: --vacuum 500micron");
        f.question = fmt::format("{} on the gauge: is that what it showed?", read.typed);
        out.push_back(std::move(f));
    }
    return out;
}

Findings evacuation_short(const Context& c) {
    const auto* k = c.as<kinds::Evacuate>();
    const auto asked = k && k->circuit ? asked_of(c, *k->circuit) : std::nullopt;
    const auto level = asked ? parse_pressure(*asked) : Result<PressureReading>(fail(Error{}));
    const auto found = level ? vacuum_held(*k, barometer_of(c, *k->circuit)) : std::nullopt;
    if (!found) return {};
    const auto most = level->absolute(barometer_of(c, *k->circuit));
    const bool rose = found->reached <= most;
    if (rose && found->after.in_kilopascals() <= most_after_holding * most.in_kilopascals()) return {};
    const auto appliance = appliance_of(*k->circuit);
    auto f =
        about(*k->circuit,
              rose ? fmt::format("{} rose from {} to {} while it was held; {} asks for {}", *k->circuit, *k->vacuum,
                                 stood_text(*k, *found), appliance, *asked)
                   : fmt::format("{} was evacuated to {}; {} asks for {}", *k->circuit, *k->vacuum, appliance, *asked),
              rose ? *k->rise : *k->vacuum, rose ? "twice that level at most" : *asked,
              "a rise that levels off is moisture, one that goes on is a leak (common practice, no source): find "
              "it, and pull on");
    f.question =
        fmt::format("{} asks for {}: is {} right?", appliance, *asked, rose ? *k->rise + " after holding" : *k->vacuum);
    return {f};
}

// Where the register asks for no level: what the trade usually pulls to.
Findings evacuation_above_usual(const Context& c) {
    constexpr auto usual = AbsolutePressure::microns(500);
    const auto* k = c.as<kinds::Evacuate>();
    const auto found =
        k && k->circuit && !asked_of(c, *k->circuit) ? vacuum_held(*k, barometer_of(c, *k->circuit)) : std::nullopt;
    if (!found) return {};
    const bool stayed = found->after.in_kilopascals() <= most_after_holding * usual.in_kilopascals();
    const bool deep = found->reached <= usual;
    if (deep && stayed) return {};
    return {
        about(*k->circuit,
              fmt::format("{} {} {}; before it is charged a circuit is usually pulled to 500 micron or less, and "
                          "stays below 1000 while it is held (common practice, no source; what the maker asks comes "
                          "first)",
                          *k->circuit, deep ? "rose to" : "was pulled to", deep ? stood_text(*k, *found) : *k->vacuum),
              *k->vacuum, "500 micron or less",
              fmt::format("tarebook appliance correct {} --evacuate-to 500micron makes it a check",
                          appliance_of(*k->circuit)))};
}

}  // namespace checks
}  // namespace tarebook
