// What a refrigerant identifier showed, against what the book has in the cylinder or the circuit.
#include <fmt/format.h>

#include "all_checks.hpp"
#include "tarebook/checks/mixing.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::checks {
namespace {

// The gases that the book has there; empty where none is on record.
std::set<std::string> booked_gases(const Context& c, const kinds::Identify& k) {
    if (k.circuit) {
        const auto& place = c.place(*k.circuit);
        return place && !place->refrigerant.empty() ? std::set{place->refrigerant} : std::set<std::string>();
    }
    const auto* e = c.effect(*k.cylinder);
    auto gases = e ? known_gases(e->after.lots) : std::set<std::string>();
    const bool empty = !e || e->after.lots.empty();
    if (gases.empty() && empty)
        if (const auto& kept_for = c.facts(*k.cylinder).refrigerant) gases.insert(*kept_for);
    return gases;
}

std::string seen_of(const kinds::Identify& k) {
    std::vector<std::string> seen;
    for (const auto* part : {&k.refrigerant, &k.composition, &k.result})
        if (*part) seen.push_back(**part);
    if (k.air) seen.push_back(*k.air + " % air");
    return joined(seen, "; ");
}

}  // namespace

Findings identified_otherwise(const Context& c) {
    const auto* k = c.as<kinds::Identify>();
    if (!k || (!k->circuit && !k->cylinder)) return {};
    const auto booked = booked_gases(c, *k);
    const IdentifiedGas seen{{}, 0, {}, {}, k->refrigerant, k->composition, k->air, k->result};
    const auto shown = shown_otherwise(c.data.catalogue, seen, booked);
    if (!shown) return {};
    const auto subject = k->circuit ? *k->circuit : *k->cylinder;
    return {about(subject, fmt::format("the identifier shows in {}: {}", subject, shown->text), seen_of(*k),
                  booked.empty() ? "one gas, without air" : fmt::format("{} alone, without air", listed(booked)),
                  k->cylinder
                      ? fmt::format("keep it apart, and look again; on evidence: tarebook reclassify {} "
                                    "--evidence TEXT --to-refrigerant GAS (or mixed)",
                                    *k->cylinder)
                      : "recover it into a cylinder of its own, marked with what was found; mixed gas can only go "
                        "to reclaim or destruction")};
}

}  // namespace tarebook::checks
