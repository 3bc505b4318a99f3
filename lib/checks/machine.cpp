// Whether the recovery machine may run on the gas.
#include <fmt/format.h>

#include "all_checks.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::checks {
namespace {

const std::optional<std::string>& machine_of(const Context& c) {
    static const std::optional<std::string> none;
    if (const auto* k = c.as<kinds::Recover>()) return k->machine;
    if (const auto* k = c.as<kinds::Recycle>()) return k->machine;
    return none;
}

// All that passes through the machine: of a recovery what the equipment holds by the register and what came in, of a
// recycling what is in the cylinder.
std::set<std::string> flammable_through_machine(const Context& c) {
    std::set<std::string> gases;
    if (const auto* k = c.as<kinds::Recover>())
        if (const auto& place = c.place(k->circuit); place && !place->refrigerant.empty())
            gases.insert(place->refrigerant);
    for (const auto* e : c.filled) gases.merge(arriving_gases(c, *e));
    if (const auto* k = c.as<kinds::Recycle>())
        if (const auto* e = c.effect(k->cylinder)) gases.merge(known_gases(e->after.lots));
    std::set<std::string> out;
    for (const auto* gas : catalogued(c, gases))
        if (gas->flammable()) out.insert(std::string(gas->designation));
    return out;
}

std::optional<std::string> rating_of(const Context& c, const std::string& machine) {
    const auto* entry = c.reg.find(EntryKind::machine, machine);
    return entry ? entry->text("flammable", c.order) : std::nullopt;
}

Date date_of(const std::string& typed) {
    const auto date = parse_date(typed);
    return date ? *date : Date::max();
}

}  // namespace

Findings machine_flammable(const Context& c) {
    const auto& machine = machine_of(c);
    if (!machine || rating_of(c, *machine) != "no") return {};
    const auto flammable = flammable_through_machine(c);
    if (flammable.empty()) return {};
    return {
        about(*machine,
              fmt::format("machine {} is not made for flammable gas, and {} is flammable", *machine, listed(flammable)),
              "flammable no", "a machine made for flammable gas",
              "stop the machine; keep flames and sparks away, ventilate, and use a machine made for it")};
}

Findings machine_rating_not_on_record(const Context& c) {
    const auto& machine = machine_of(c);
    if (!machine || rating_of(c, *machine)) return {};
    if (flammable_through_machine(c).empty()) return {};
    return {about(
        *machine,
        fmt::format("machine {}: whether it is made for flammable gas is not on record; read its plate", *machine), {},
        {}, "add it with `tarebook machine correct`")};
}

Findings machine_drier(const Context& c) {
    const auto& machine = machine_of(c);
    const auto* entry = machine ? c.reg.find(EntryKind::machine, *machine) : nullptr;
    const auto since = entry ? entry->text("drier_changed", c.order) : std::nullopt;
    const auto* k = c.as<kinds::Recover>();
    if (!since || !k || c.event.when.date() < date_of(*since)) return {};
    const auto& place = c.place(k->circuit);
    const auto* appliance = place ? c.reg.find(EntryKind::appliance, place->appliance) : nullptr;
    std::vector<std::string> differ;
    const auto gas = entry->text("drier_gas", c.order);
    if (gas && place && !place->refrigerant.empty() && *gas != place->refrigerant)
        differ.push_back(fmt::format("it was changed for {}, and this is {}", *gas, place->refrigerant));
    const auto oil = entry->text("drier_oil", c.order);
    const auto here = appliance ? appliance->text("oil", c.order) : std::nullopt;
    if (oil && here && *oil != *here)
        differ.push_back(
            fmt::format("{} oil came with the gas then, and {} oil is in {}", *oil, *here, place->appliance));
    if (differ.empty()) return {};
    return {about(*machine,
                  fmt::format("machine {}: its filter-drier was changed last on {}: {}. It is changed, and the machine "
                              "cleared, before another gas or oil goes through (common practice, no source)",
                              *machine, *since, joined(differ, "; ")),
                  {}, {}, fmt::format("tarebook filter-drier --machine {}", *machine))};
}

}  // namespace tarebook::checks
