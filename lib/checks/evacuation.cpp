// Whether a recovery reached the vacuum that is asked for before its appliance is opened.
#include <fmt/format.h>

#include "each.hpp"
#include "tarebook/needed_vacuum.hpp"

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

std::optional<EvacuationNeed> needed_vacuum(const Register& reg, std::string_view circuit,
                                            const std::optional<std::string>& machine, const OrderKey& when, Date on) {
    const auto place = place_facts(reg, circuit, when);
    if (!place || place->refrigerant.empty()) return std::nullopt;
    const auto* gas = find_refrigerant(place->refrigerant);
    if (!gas) return std::nullopt;
    const auto need = evacuation_need(default_rule_packs(), {gas, place->full_charge, std::nullopt},
                                      machine_made(reg, machine, when), on);
    return need ? *need : std::nullopt;
}

std::string needed_vacuum_text(const EvacuationNeed& need, const Refrigerant& gas,
                               const std::optional<Mass>& full_charge) {
    std::string text = fmt::format("{} ({}{}): {} is a {} gas", level_text(need.level), need.match.rule->clause,
                                   need.match.status() == RuleStatus::to_confirm ? ", to be confirmed" : "",
                                   gas.designation, class_word(need.pressure_class.pressure_class));
    if (need.stricter_of_two) text += ", within 5 % of the next class: the stricter level";
    text += full_charge ? fmt::format(", full charge {} lb", pounds_text(*full_charge))
                        : std::string(need.full_charge_unknown ? ", full charge not on record: the strictest row" : "");
    if (need.machine_date_unknown) text += ", for a machine made since 15 November 1993";
    return text;
}

Result<std::string> parse_vacuum_exception(std::string_view text) {
    for (const std::string_view word : {"leaking: ", "non-major: "})
        if (text.starts_with(word) && text.find_first_not_of(" \t", word.size()) != std::string_view::npos)
            return std::string(text);
    return fail({ErrorKind::usage, "vacuum-exception", "an exception from the vacuum says which one, and why",
                 std::string(text), "\"leaking: WHY\" or \"non-major: WHY\"",
                 "leaking: the leak makes it unattainable; non-major: no major repair, and not evacuated to the air "
                 "afterwards (40 CFR 82.156(a))"});
}

namespace checks {

Findings vacuum_short(const Context& c) {
    const auto* k = c.as<kinds::Recover>();
    if (!k || !k->vacuum || !asks_for_vacuum(k->reason)) return {};
    const auto got = parse_pressure(*k->vacuum);
    if (!got) return {};
    const auto need = needed_vacuum(c.reg, k->circuit, k->machine, c.order, c.event.when.date());
    if (!need) return {};
    // An exception lets the level be missed, but not the atmosphere: 40 CFR 82.156(a)(1) and (2).
    const PressureLevel level = k->vacuum_exception ? PressureLevel(GaugePressure::psig(0)) : need->level;
    if (reaches_level(*got, level, standard_atmosphere())) return {};
    return {{.check = {},
             .subject = k->circuit,
             .text = k->vacuum_exception ? fmt::format("{} was left at {}, above 0 psig, which no exception allows",
                                                       k->circuit, *k->vacuum)
                                         : fmt::format("{} was brought to {}; {} asks for {}", k->circuit, *k->vacuum,
                                                       need->match.rule->clause, level_text(need->level)),
             .seen = *k->vacuum,
             .expected = level_text(level),
             .next = "recover on to the level, or say which exception holds and why: --vacuum-exception \"leaking: "
                     "...\" or \"non-major: ...\"",
             .question = {},
             .accepted = {}}};
}

}  // namespace checks
}  // namespace tarebook
