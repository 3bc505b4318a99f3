#include "context.hpp"
#include "tarebook/units/word_list.hpp"

#include <algorithm>

namespace tarebook::checks {

using namespace kinds;

namespace {

std::vector<CylinderWeighing> weighings_of(const Event& event) {
    if (const auto* k = std::get_if<Recover>(&event.what)) return {{k->into, k->weighing, Way::heavier}};
    if (const auto* k = put_of(event)) {
        if (k->from.starts_with("outside:")) return {};
        return {{k->from, k->weighing, Way::lighter}};
    }
    if (const auto* k = std::get_if<Transfer>(&event.what))
        return {{k->from, k->from_weighing, Way::lighter}, {k->into, k->into_weighing, Way::heavier}};
    if (const auto* k = std::get_if<Return>(&event.what)) return {{k->cylinder, k->weighing, Way::lighter}};
    if (const auto* k = std::get_if<Destroy>(&event.what)) return {{k->cylinder, k->weighing, Way::lighter}};
    if (const auto* k = std::get_if<Receive>(&event.what)) return {{k->cylinder, k->weighing, Way::heavier}};
    if (const auto* k = std::get_if<Release>(&event.what); k && k->cylinder)
        return {{*k->cylinder, k->weighing, Way::lighter}};
    return {};
}

std::vector<const Effect*> filled_by(const Event& event, const Outcome& folded) {
    const bool ours = std::holds_alternative<Recover>(event.what) || std::holds_alternative<Transfer>(event.what) ||
                      put_of(event) != nullptr;
    std::vector<const Effect*> out;
    if (!ours) return out;
    for (const auto& e : folded.effects)
        if (Mass() < e.moved) out.push_back(&e);
    return out;
}

}  // namespace

Context::Context(const ReferenceData& d, const Event& e, const States& b, const Outcome& f, const Register& r, Memo& m)
    : data(d),
      event(e),
      before(b),
      folded(f),
      reg(r),
      memo(m),
      order(e.order()),
      weighings(weighings_of(e)),
      filled(filled_by(e, f)) {}

const CylinderFacts& Context::facts(std::string_view cylinder) const {
    static const CylinderFacts nothing_on_record;
    const auto* known = cylinder_facts(reg, cylinder, order);
    return known ? *known : nothing_on_record;
}
const std::optional<PlaceFacts>& Context::place(std::string_view circuit) const {
    if (!place_ || place_circuit_ != circuit) {  // an event names only one circuit, so one is kept
        place_circuit_ = circuit;
        place_ = place_facts(reg, circuit, order);
    }
    return *place_;
}
const Effect* Context::effect(std::string_view cylinder) const {
    for (const auto& e : folded.effects)
        if (e.cylinder == cylinder) return &e;
    return nullptr;
}

const Put* put_of(const Event& event) {
    if (const auto* charge = std::get_if<Charge>(&event.what)) return charge;
    return std::get_if<Reuse>(&event.what);
}

bool reads_gross(const Context& c, std::string_view cylinder) {
    if (c.as<Settle>()) return false;  // its weights were read on a reclaimer's scale, much later
    for (const auto& w : c.weighings)
        if (w.cylinder == cylinder && (w.weighing.before || w.weighing.after)) return true;
    const auto gross_of = [](const auto& k) {
        if constexpr (requires { k.gross.has_value(); })
            return k.gross.has_value();
        else
            return std::is_same_v<std::decay_t<decltype(k)>, Weigh> ||
                   std::is_same_v<std::decay_t<decltype(k)>, StocktakeWeigh>;
    };
    return std::visit(gross_of, c.event.what);
}

Mass division_of_scale(const Context& c, DisplayUnits units) {
    if (c.event.scale)
        if (const auto* scale = c.reg.find(EntryKind::scale, *c.event.scale))
            if (const auto division = scale->mass("division", c.order); division && Mass() < *division)
                return *division;
    return units == DisplayUnits::kg ? Mass::from_count(20 * Mass::counts_per_gram) : Mass::thousandths_of_a_pound(50);
}
Mass shown_step(const Context& c) {
    return c.reg.units == DisplayUnits::kg ? Mass::from_count(Mass::counts_per_gram) : Mass::thousandths_of_a_pound(10);
}
Mass pair_tolerance(const Context& c) {
    return division_of_scale(c) + division_of_scale(c);
}

const Effect* drawn_for_circuit(const Context& c) {
    const auto* put = put_of(c.event);
    const auto* e = put ? c.effect(put->from) : nullptr;
    return e && e->moved.is_negative() ? e : nullptr;
}

std::set<std::string> known_gases(const Lots& lots) {
    std::set<std::string> out;
    for (const auto& lot : lots)
        if (Mass() < lot.mass && lot.key.refrigerant != gas_unknown) out.insert(lot.key.refrigerant);
    return out;
}

std::set<std::string> arriving_gases(const Context& c, const Effect& into) {
    if (c.as<Transfer>()) {
        for (const auto& e : c.folded.effects) {
            if (e.cylinder == into.cylinder) continue;
            auto gases = known_gases(e.levelled.lots);
            if (gases.empty())
                if (const auto& registered = c.facts(e.cylinder).refrigerant) gases.insert(*registered);
            return gases;
        }
        return {};
    }
    const auto* put = put_of(c.event);
    const auto* recover = c.as<Recover>();
    const auto& place = c.place(put ? put->circuit : recover ? recover->circuit : "");
    if (!place || place->refrigerant.empty()) return {};
    return {place->refrigerant};
}

std::vector<const Refrigerant*> catalogued(const Context& c, const std::set<std::string>& designations) {
    std::vector<const Refrigerant*> out;
    for (const auto& d : designations)
        if (const auto* r = c.data.catalogue.find(d)) out.push_back(r);
    return out;
}

std::string Context::mass(Mass mass) const {
    return mass_text_to_thousandth(mass, reg.units);
}

std::string listed(const std::set<std::string>& words) {
    return joined(words, " and ");
}

}  // namespace tarebook::checks
