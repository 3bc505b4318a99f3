// Whether a recovery reached the vacuum that a rule asks for before its appliance is opened.
#include <fmt/format.h>

#include <cmath>

#include "all_checks.hpp"
#include "tarebook/checks/needed_vacuum.hpp"
#include "tarebook/checks/site_packs.hpp"

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

std::string needed_vacuum_brief(const EvacuationNeed& need, const std::optional<std::string>& compressor) {
    if (!need.small_appliance) return level_text(need.level);
    return fmt::format("{}, or {} % of its full charge", level_text(need.level), share_of(need, compressor).text());
}

std::string needed_vacuum_text(const EvacuationNeed& need, const Refrigerant& gas,
                               const std::optional<Mass>& full_charge) {
    const auto* to_confirm = need.match.status() == RuleStatus::to_confirm ? ", to be confirmed" : "";
    if (need.small_appliance)
        return fmt::format(
            "{}, {} % where its compressor does not run ({}{}): a small appliance, factory sealed with {} lb "
            "of {}",
            needed_vacuum_brief(need, {}), share_of(need, "does-not-run").text(), need.match.rule->clause, to_confirm,
            full_charge ? pounds_text(*full_charge) : "?", gas.designation);
    std::string text = fmt::format("{} ({}{}): {} is a {} gas", level_text(need.level), need.match.rule->clause,
                                   to_confirm, gas.designation, class_word(need.pressure_class.pressure_class));
    if (substance_classes(gas) == std::vector{SubstanceClass::hydrocarbon})
        text +=
            ", exempt only in the uses that 40 CFR 82.154(a)(1) lists (tarebook appliance correct: --listed-use yes)";
    if (need.stricter_of_two) text += ", within 5 % of the next class: the stricter level";
    text += full_charge ? fmt::format(", full charge {} lb", pounds_text(*full_charge))
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

namespace checks {
namespace {

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
             .text = allowed ? fmt::format("{} was left at {}, above {:g} psig, the most that its exception allows",
                                           k->circuit, *k->vacuum, std::round(allowed->in_psig() * 1000) / 1000)
                             : fmt::format("{} was brought to {}; {} asks for {}", k->circuit, *k->vacuum,
                                           need->match.rule->clause, needed_vacuum_brief(*need, k->compressor)),
             .seen = *k->vacuum,
             .expected = allowed ? fmt::format("{:g} psig at most", std::round(allowed->in_psig() * 1000) / 1000)
                                 : needed_vacuum_brief(*need, k->compressor),
             .next = "keep recovering down to the level, or name the exception that holds and why: --vacuum-exception "
                     "\"leaking: "
                     "...\", \"non-major: ...\" or \"oil-change: ...\"",
             .question = {},
             .accepted = {}}};
}

}  // namespace checks
}  // namespace tarebook
