#include "tarebook/checks/fill_now.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "tarebook/checks/mixing.hpp"

namespace tarebook {
namespace {

const auto usual_division = Mass::thousandths_of_a_pound(50);

std::string name_of(const CylinderNow& cylinder) {
    return cylinder.code.empty() ? "the cylinder" : cylinder.code;
}
std::string correction(const CylinderNow& cylinder, std::string_view option) {
    if (cylinder.code.empty()) return fmt::format("read the collar and give {}", option);
    return fmt::format("read the collar, then: tarebook cylinder {} {} {}", cylinder.in_register ? "correct" : "add",
                       cylinder.code, option);
}

}  // namespace

FillContents fill_contents(const Catalogue& catalogue, const CylinderFacts& facts, const CylinderState& state) {
    FillContents out;
    const auto take = [&](const std::string& name) {
        if (const auto* gas = catalogue.find(name)) {
            if (std::find(out.contents.begin(), out.contents.end(), gas) == out.contents.end())
                out.contents.push_back(gas);
            return;
        }
        out.unnamed = true;
        // A gas of a person's own file that is not loaded now: it may be a light gas.
        if (name != gas_unknown && name != gas_mixed) out.hydrocarbon_or_ammonia_suspected = true;
    };
    for (const auto& lot : state.lots) take(lot.key.refrigerant);
    if (state.lots.empty() && facts.refrigerant) take(*facts.refrigerant);
    const auto shown = shown_otherwise(catalogue, state);
    const bool shown_mixed = shown && shown->mixture;
    out.unnamed = out.unnamed || shown_mixed;
    out.mixed = state.mixed || shown_mixed || (out.unnamed && !out.contents.empty()) || out.contents.size() > 1;
    return out;
}

namespace {
void take_rules_of_transport(const Rulebook& rules, std::string_view country, FillQuestion& q) {
    q.us_transport = law_of_the_us(country);
    if (q.us_transport) return;
    // No rule of this kind has changed by date so far, so any day gives the same one.
    const auto rule = first_matching<terms::TransportFill>(rules.packs_of_country(country), {}, Date::max());
    if (!rule) return;
    const auto& terms = rule->as<terms::TransportFill>();
    q.transport = FillForTransport{std::stod(terms.of_density.text()) / 100, terms.density_at, terms.not_full_at,
                                   fmt::format("{} ({})", rule->rule->clause, text_of(rule->status()))};
}
}  // namespace

FillQuestion fill_question(const Rulebook& rules, const CylinderFacts& facts, const FillContents& contents,
                           const std::optional<Temperature>& stored_at) {
    FillQuestion q;
    if (contents.contents.size() == 1)
        q.refrigerant = contents.contents.front();
    else
        q.could_be = contents.contents;
    q.mixed = contents.mixed;
    q.unnamed = contents.unnamed;
    q.hydrocarbon_or_ammonia_suspected = contents.hydrocarbon_or_ammonia_suspected;
    q.water_capacity = *facts.water_capacity;
    q.stamped_limit_net = facts.stamped_limit;
    q.spec_mark = facts.spec;
    q.stored_at = stored_at;
    take_rules_of_transport(rules, facts.country.value_or(""), q);
    return q;
}

FillWeights fill_weights(Mass limit_net, const CylinderNow& cylinder, const FillConditions& conditions) {
    FillWeights w;
    const Mass tare = *cylinder.facts.tare;
    w.gross_is_expected = !conditions.gross.has_value();
    w.gross_now = conditions.gross.value_or(tare + cylinder.state.contents());
    w.net_now = w.gross_now - tare;
    w.weights = stop_weights(limit_net, tare, w.gross_now, conditions.division.value_or(usual_division));
    if (w.net_now > limit_net) w.draw_down = w.gross_now - w.weights.stop_gross;
    return w;
}

Ratio FillLimitNow::share() const {
    if (!limit().is_zero() && !net_now.is_negative()) return Ratio::of(net_now, limit());
    return Ratio::of(Percent::whole(0));
}

Result<FillLimitNow> fill_limit_now(const ReferenceData& data, const CylinderNow& cylinder,
                                    const FillConditions& conditions) {
    return fill_limit_now(data, cylinder, fill_contents(data.catalogue, cylinder.facts, cylinder.state), conditions);
}

Result<FillLimitNow> fill_limit_now(const ReferenceData& data, const CylinderNow& cylinder,
                                    const FillContents& contents, const FillConditions& conditions) {
    if (!cylinder.facts.water_capacity)
        return usage("room-water-capacity", fmt::format("no water capacity is on record for {}", name_of(cylinder)), "",
                     "the WC stamped on the collar: 47.6lb, 21.6kg or 21.6L", correction(cylinder, "--wc W"));
    if (!cylinder.facts.tare)
        return usage("room-tare", fmt::format("no tare is on record for {}", name_of(cylinder)), "",
                     "the TW stamped on the collar, or the weight of the evacuated cylinder",
                     correction(cylinder, "--tare W"));
    auto question = fill_question(data.rules, cylinder.facts, contents, conditions.stored_at);
    question.units = conditions.units;
    auto limits = fill_limits(question);
    if (!limits) return fail(limits.error());
    FillLimitNow out;
    static_cast<FillWeights&>(out) = fill_weights(limits->net(), cylinder, conditions);
    out.limits = std::move(*limits);
    return out;
}

}  // namespace tarebook
