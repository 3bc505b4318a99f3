// What a refrigerant identifier showed, against what the book has in the cylinder or the circuit.
#include "tarebook/rules/identified.hpp"

#include <fmt/format.h>

#include "all_checks.hpp"
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

// SAE J1771 takes a gas as one gas from 98 % on, and AHRI 700 allows 1.5 % of air by volume in the vapour of most
// gases: both from memory.
constexpr auto most_foreign = Percent::whole(2);
constexpr auto most_air = Percent::thousandths(1500);

// Neither one gas nor a blend that the catalogue has.
bool is_mixture(const std::vector<IdentifiedPart>& parts) {
    std::vector<Component> components;
    for (const auto& part : parts) {
        if (Percent::whole(98) <= part.percent) return false;
        components.push_back({part.substance, static_cast<double>(part.percent.in_thousandths()) / 1000, nullptr});
    }
    constexpr double as_blends_are_filled = 2;  // percent
    return !components.empty() && !find_by_composition(components, as_blends_are_filled);
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
    const bool named = k->refrigerant && *k->refrigerant != "mixed" && *k->refrigerant != "unknown";
    std::vector<std::string> shown;
    if (k->refrigerant == "mixed") shown.emplace_back("a mixture");
    if (named && !booked.empty() && (booked.size() > 1 || !booked.contains(*k->refrigerant)))
        shown.push_back(fmt::format("{}, and the book has {}", *k->refrigerant, listed(booked)));
    const auto parts = k->composition ? identified_parts(*k->composition) : std::vector<IdentifiedPart>();
    const auto of = named ? *k->refrigerant : booked.size() == 1 ? *booked.begin() : std::string();
    const bool is_told = k->refrigerant == "mixed";
    if (const auto* gas = of.empty() || is_told ? nullptr : c.data.catalogue.find(of); gas && !parts.empty())
        if (const auto foreign = foreign_to(*gas, parts); most_foreign < foreign)
            shown.push_back(
                fmt::format("{} % of other gas than {} (over 2 %: SAE J1771, from memory)", foreign.text(), of));
    if (of.empty() && !is_told && is_mixture(parts)) shown.push_back(fmt::format("a mixture ({} %)", *k->composition));
    if (const auto air = k->air ? Percent::parse(*k->air) : std::nullopt; air && most_air < *air)
        shown.push_back(fmt::format("{} % of air (over 1.5 %: AHRI 700, from memory)", air->text()));
    if (shown.empty() && k->result == "fail") shown.emplace_back("that the gas fails its test");
    if (shown.empty()) return {};
    const auto subject = k->circuit ? *k->circuit : *k->cylinder;
    return {about(subject, fmt::format("the identifier shows in {}: {}", subject, joined(shown, "; ")), seen_of(*k),
                  booked.empty() ? "one gas, without air" : fmt::format("{} alone, without air", listed(booked)),
                  k->cylinder
                      ? fmt::format("keep it apart, and look again; on evidence: tarebook reclassify {} "
                                    "--evidence TEXT --to-refrigerant GAS",
                                    *k->cylinder)
                      : "recover it into a cylinder of its own, marked with what was found; mixed gas can only go "
                        "to reclaim or destruction")};
}

}  // namespace tarebook::checks
