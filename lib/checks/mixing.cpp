// Known gas that would become mixed gas, and gas of which an identifier showed something else than the book has.
#include "tarebook/checks/mixing.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "all_checks.hpp"
#include "tarebook/event/moment.hpp"
#include "tarebook/rules/identified.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

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

bool is_known(const std::string& gas) {
    return gas != gas_unknown && gas != gas_mixed;
}

}  // namespace

std::optional<ShownOtherwise> shown_otherwise(const Catalogue& catalogue, const IdentifiedGas& shown,
                                              const std::set<std::string>& booked) {
    std::vector<std::string> words;
    bool mixture = false;
    const auto mixed = [&](std::string text) {
        mixture = true;
        words.push_back(std::move(text));
    };
    const bool named = shown.refrigerant && is_known(*shown.refrigerant);
    const bool told_mixed = shown.refrigerant == gas_mixed;
    if (told_mixed && !booked.contains(std::string(gas_mixed))) mixed("a mixture");
    if (shown.refrigerant == gas_unknown && !booked.empty()) mixed("gas that it could not name");
    if (named && !booked.empty() && (booked.size() > 1 || !booked.contains(*shown.refrigerant)))
        words.push_back(fmt::format("{}, and the book has {}", *shown.refrigerant, joined(booked, " and ")));
    const auto parts = shown.composition ? identified_parts(*shown.composition) : std::vector<IdentifiedPart>();
    const auto of = named ? *shown.refrigerant : booked.size() == 1 ? *booked.begin() : std::string();
    if (const auto* gas = of.empty() || told_mixed ? nullptr : catalogue.find(of); gas && !parts.empty())
        if (const auto foreign = foreign_to(*gas, parts); most_foreign < foreign)
            mixed(fmt::format("{} % of other gas than {} (over 2 %: SAE J1771, from memory)", foreign.text(), of));
    if (of.empty() && !told_mixed && is_mixture(parts)) mixed(fmt::format("a mixture ({} %)", *shown.composition));
    if (const auto air = shown.air ? Percent::parse(*shown.air) : std::nullopt; air && most_air < *air)
        words.push_back(fmt::format("{} % of air (over 1.5 %: AHRI 700, from memory)", air->text()));
    if (words.empty() && shown.result == "fail") words.emplace_back("that the gas fails its test");
    if (words.empty()) return std::nullopt;
    return ShownOtherwise{joined(words, "; "), mixture};
}

std::optional<ShownOtherwise> shown_otherwise(const Catalogue& catalogue, const CylinderState& state) {
    if (!state.identified) return std::nullopt;
    return shown_otherwise(catalogue, *state.identified, checks::known_gases(state.lots));
}

std::set<std::string> gases_in(const Catalogue& catalogue, const CylinderState& state) {
    std::set<std::string> out;
    for (const auto& lot : state.lots)
        if (Mass() < lot.mass) out.insert(lot.key.refrigerant);
    const auto shown = shown_otherwise(catalogue, state);
    if (!out.empty() && (state.mixed || (shown && shown->mixture))) out.emplace(gas_mixed);
    return out;
}

bool becomes_mixed(const std::set<std::string>& held, const std::set<std::string>& arriving) {
    const auto is_pure = [](const std::set<std::string>& gases) {
        return std::all_of(gases.begin(), gases.end(), is_known);
    };
    const auto has_known = [](const std::set<std::string>& gases) {
        return !gases.contains(std::string(gas_mixed)) && std::any_of(gases.begin(), gases.end(), is_known);
    };
    return (has_known(arriving) && !is_pure(held)) || (has_known(held) && !is_pure(arriving));
}

std::string gases_text(const std::set<std::string>& gases) {
    if (gases.contains(std::string(gas_mixed))) return "mixed gas";
    std::vector<std::string> out;
    for (const auto& gas : gases) out.push_back(gas == gas_unknown ? std::string("gas that is not known") : gas);
    return joined(out, " and ");
}

namespace checks {
namespace {

// Cylinders that got gas, a delivery among them.
std::vector<const Effect*> that_got_gas(const Context& c) {
    auto out = c.filled;
    if (c.as<kinds::Receive>())
        for (const auto& e : c.folded.effects)
            if (Mass() < e.moved) out.push_back(&e);
    return out;
}

std::set<std::string> what_arrives(const Context& c, const Effect& into) {
    const auto or_unknown = [](std::optional<std::string> gas) {
        return std::set{gas && !gas->empty() ? std::move(*gas) : std::string(gas_unknown)};
    };
    if (c.as<kinds::Transfer>())
        for (const auto& e : c.folded.effects) {
            if (e.cylinder == into.cylinder) continue;
            auto gases = gases_in(c.data.catalogue, e.levelled);
            return gases.empty() ? or_unknown(c.facts(e.cylinder).refrigerant) : gases;
        }
    if (const auto* k = c.as<kinds::Receive>())
        return or_unknown(k->refrigerant ? k->refrigerant : c.facts(into.cylinder).refrigerant);
    const auto* put = put_of(c.event);
    const auto* recover = c.as<kinds::Recover>();
    const auto& place = c.place(put ? put->circuit : recover ? recover->circuit : "");
    return or_unknown(place ? std::optional(place->refrigerant) : std::nullopt);
}

std::string event_told(const Context& c, const IdentifiedGas& shown) {
    return shown.book == c.event.book ? fmt::format("E{} of {}", shown.seq, date_text(shown.on))
                                      : fmt::format("another book's event of {}", date_text(shown.on));
}

}  // namespace

Findings becomes_mixed(const Context& c) {
    Findings out;
    for (const auto* e : that_got_gas(c)) {
        const auto held = gases_in(c.data.catalogue, e->levelled);
        const auto shown = shown_otherwise(c.data.catalogue, e->levelled);
        const bool by_identifier = shown && shown->mixture && !e->levelled.mixed;
        const auto holds = by_identifier ? fmt::format("gas of which an identifier showed {} ({})", shown->text,
                                                       event_told(c, *e->levelled.identified))
                                         : gases_text(held);
        const auto arriving = what_arrives(c, *e);
        // What only the scale showed in a clean cylinder takes the words of the gas that comes in.
        const bool has_met =
            e->after.mixed || held.contains(std::string(gas_mixed)) || arriving.contains(std::string(gas_mixed));
        if (!has_met || !tarebook::becomes_mixed(held, arriving)) continue;
        const bool held_is_known = !held.contains(std::string(gas_unknown)) && !held.contains(std::string(gas_mixed));
        const bool any_unknown = held.contains(std::string(gas_unknown)) || arriving.contains(std::string(gas_unknown));
        const auto* const look = held_is_known && !c.as<kinds::Transfer>()
                                     ? ", or read the nameplate, and name the gas with `tarebook appliance correct`"
                                 : any_unknown || by_identifier
                                     ? ", or find out what it is: `tarebook identify`, `tarebook reclassify`"
                                     : "";
        out.push_back(
            about(e->cylinder,
                  fmt::format("{} holds {}, and {} would be added to it: all of it becomes mixed gas", e->cylinder,
                              holds, gases_text(arriving)),
                  fmt::format("{} of {}", c.mass(e->moved), gases_text(arriving)),
                  held_is_known
                      ? fmt::format("{} only", gases_text(held))
                      : fmt::format("a cylinder that is empty or holds {}",
                                    arriving.contains(std::string(gas_unknown)) ? "the same" : gases_text(arriving)),
                  fmt::format("stop; use a cylinder that is empty or holds the same gas{}; mixed gas can only go to "
                              "reclaim or destruction",
                              look)));
    }
    return out;
}

Findings identified_before(const Context& c) {
    const auto* from = drawn_for_circuit(c);
    const auto shown = from ? shown_otherwise(c.data.catalogue, from->levelled) : std::nullopt;
    if (!shown) return {};
    const auto& seen = *from->levelled.identified;
    return {about(from->cylinder,
                  fmt::format("an identifier showed in {}: {} ({})", seen.cylinder, shown->text, event_told(c, seen)),
                  fmt::format("{} out of {} into {}", c.mass(-from->moved), from->cylinder, put_of(c.event)->circuit),
                  "gas of which an identifier shows what the book has",
                  fmt::format("use other gas; look again with `tarebook identify {0}`, or say on evidence what it is: "
                              "`tarebook reclassify {0}`",
                              from->cylinder))};
}

}  // namespace checks
}  // namespace tarebook
