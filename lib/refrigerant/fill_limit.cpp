#include "tarebook/refrigerant/fill_limit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "listed_mark.hpp"
#include "tarebook/refrigerant/cylinder_physics.hpp"

namespace tarebook {
namespace {

constexpr double liquid_share = 0.80;       // AHRI Guideline K
constexpr double below_liquid_full = 0.98;  // 2 % of the volume stays vapour at 131 F
constexpr double unknown_share = 0.65;      // 0.8 x 0.813, R-32 at 130 F: the lightest common fluorocarbon
constexpr double light_share = 0.35;        // 0.8 x 0.44, propane at 130 F
constexpr Temperature at_77f = Temperature::celsius(25);
constexpr Temperature at_130f = Temperature::fahrenheit(130);
constexpr Temperature at_131f = Temperature::celsius(55);

Mass water_in(Volume v, double share) {
    return v.filled_with(Density::kg_per_m3(water_at_60f().in_kg_per_m3() * share));
}
Mass liquid_in(Volume v, Density d, double share) {
    return v.filled_with(Density::kg_per_m3(d.in_kg_per_m3() * share));
}
std::string fahrenheit(Temperature t) {
    return fmt::format("{:g} F", std::round(t.in_fahrenheit() * 10) / 10);
}
std::string celsius(Temperature t) {
    return fmt::format("{:g} C", std::round(t.in_celsius() * 10) / 10);
}
std::string degrees(Temperature t, DisplayUnits units) {
    return units == DisplayUnits::kg ? celsius(t) : fahrenheit(t);
}
double specific_gravity(Density d) {
    return d.in_kg_per_m3() / water_at_60f().in_kg_per_m3();
}

/// For these two only the transport rules count: their density at 77 F and at 131 F does not limit a cylinder that is
/// rated for them.
bool ruled_by_transport_alone(const Refrigerant& r) {
    return r.designation == "R-717" || r.designation == "R-744";
}

// Share by mass of components for which `test` holds.
template <class Test>
double share_of(const Refrigerant& r, Test test) {
    double percent = 0;
    for (const auto& part : r.composition)
        if (part.entry && test(*part.entry)) percent += part.mass_percent;
    return percent;
}
bool has_table(const Refrigerant& r) {
    return !r.saturation.rows.empty();
}
/// Above its critical temperature a substance is only gas: then the pressure is the limit, which no density rule gives.
/// A blend without a table counts as such if half of it are such components.
bool no_liquid_at_131f(const Refrigerant& r) {
    if (has_table(r)) return r.cylinder->no_liquid_at_55c;
    return share_of(r, [](const Refrigerant& c) { return c.cylinder && c.cylinder->no_liquid_at_55c; }) >= 50;
}
bool mostly_hydrocarbon(const Refrigerant& r) {
    return share_of(r, [](const Refrigerant& c) { return c.hydrocarbon(); }) >= 50;
}

std::string own_figures(const Refrigerant& r) {
    return fmt::format("the figures of {} are from your own file: Tarebook checked only their shape", r.designation);
}

class Answer {
 public:
    explicit Answer(const FillQuestion& question) : question_(question) {}

    void one_refrigerant(const Refrigerant& r) {
        if (question_.us_transport) filling_density(r);
        if (!question_.us_transport || !ruled_by_transport_alone(r)) by_density(r);
        if (question_.transport && !question_.stamped_limit_net) for_transport(r, *question_.transport);
        if (question_.stored_at) where_stored(r, *question_.stored_at);
        if (r.hydrocarbon() && question_.us_transport)
            note(
                "transport has its own filling densities for liquefied petroleum gas, 49 CFR 173.304a(d): not on file "
                "here");
    }

    void several(const std::vector<const Refrigerant*>& candidates) {
        const Temperature warmest = std::max(at_130f, question_.stored_at.value_or(at_130f));
        const Refrigerant* lightest = nullptr;
        std::optional<Density> lightest_density;
        for (const auto* r : candidates) {
            if (r->from_own_file) note(own_figures(*r));
            const auto density = liquid_density(*r, warmest);
            if (density && (!lightest_density || *density < *lightest_density)) {
                lightest = r;
                lightest_density = density;
            }
            if (!has_table(*r))
                without_table(*r);
            else if (!density)
                note(fmt::format("{} has no liquid at {} and is in no computed limit", r->designation, at(warmest)));
        }
        if (lightest_density)
            add("mixed-lightest-at-130F",
                liquid_in(volume(), std::min(*lightest_density, water_at_60f()), liquid_share),
                fmt::format(
                    "shop rule for mixed or partly known contents: 0.80 x water capacity x min(1, specific gravity "
                    "{:.4f} of {} at {})",
                    specific_gravity(*lightest_density), lightest->designation, at(warmest)));
    }

    void unknown_contents() {
        add("unknown-contents-65-percent", water_in(volume(), unknown_share),
            fmt::format("shop rule for unknown contents: 0.65 x water capacity (0.80 x 0.813, R-32 at {})",
                        at(at_130f)));
    }
    void light_gas() {
        add("hydrocarbon-or-ammonia-35-percent", water_in(volume(), light_share),
            "shop rule where hydrocarbon or ammonia is suspected: 0.35 x water capacity");
    }
    void stamped() {
        if (question_.stamped_limit_net) add("stamped-limit", *question_.stamped_limit_net, "stamped on the cylinder");
    }

    void choose(const Refrigerant* alone) {
        auto& found = limits_.candidates;
        const auto smallest =
            std::min_element(found.begin(), found.end(), [](const auto& a, const auto& b) { return a.net < b.net; });
        limits_.binding = static_cast<std::size_t>(smallest - found.begin());
        if (!alone || !has_table(*alone)) return;
        limits_.liquid_full = liquid_full_temperature(*alone, limits_.net(), volume());
        margin(*alone);
    }

    void note(std::string text) { limits_.notes.push_back(std::move(text)); }
    [[nodiscard]] bool empty() const { return limits_.candidates.empty(); }
    [[nodiscard]] bool no_liquid_where_stored() const { return no_liquid_where_stored_; }
    FillLimits take() { return std::move(limits_); }

 private:
    [[nodiscard]] std::string at(Temperature t) const { return degrees(t, question_.units); }
    [[nodiscard]] Volume volume() const { return question_.water_capacity; }
    void add(std::string rule, Mass net, std::string source) {
        for (const auto& c : limits_.candidates)
            if (c.rule == rule) return;  // two candidates without a table have the same rule
        limits_.candidates.push_back({std::move(rule), net, std::move(source)});
    }

    // The lowest filling density, unless the table allows more for the cylinder's mark.
    void filling_density(const Refrigerant& r) {
        const FillingDensity* row = nullptr;
        const auto mark = question_.spec_mark ? parse_spec_mark(*question_.spec_mark) : std::nullopt;
        for (const auto& grade : r.filling_densities)
            if (grade.percent_of_water && (!row || (mark && covers_one_of(*mark, grade.marks)))) row = &grade;
        if (!row) return;
        add("filling-density", water_in(volume(), *row->percent_of_water / 100),
            fmt::format("{}: filling density of {} {} % of the water weight (a ceiling for transport)", row->clause,
                        r.designation, *row->percent_of_water));
    }

    void by_density(const Refrigerant& r) {
        if (!has_table(r)) {
            without_table(r);
            return;
        }
        if (r.from_own_file) note(own_figures(r));
        if (r.cylinder->no_liquid_at_55c && !r.cylinder->at_55c) {
            // A density rule does not limit the pressure that the filling makes there, and no other rule of ours does.
            note(fmt::format("{} has no liquid at {}, and no pressure there is on file: no computed limit",
                             r.designation, at(at_131f)));
            return;
        }
        if (const auto density = liquid_density(r, at_77f))
            add("80-percent-at-77F", liquid_in(volume(), *density, liquid_share),
                fmt::format("{}: 0.80 x water capacity x specific gravity {:.4f} of {} at {}",
                            r.flammable()
                                ? "shop rule for flammable gases, after AHRI Guideline K which leaves them out"
                                : "AHRI Guideline K (as quoted in the trade press)",
                            specific_gravity(*density), r.designation, at(at_77f)));
        if (const auto density = liquid_density(r, at_131f))
            add("not-liquid-full-at-131F", liquid_in(volume(), *density, below_liquid_full),
                fmt::format("{}, with 2 % to spare: 0.98 x {:.1f} kg/m3 of {} at {} x volume",
                            question_.us_transport
                                ? "49 CFR 173.304(b) (clause from memory)"
                                : "physics: without vapour beside it, liquid that warms bursts a cylinder",
                            density->in_kg_per_m3(), r.designation, at(at_131f)));
        else
            note(fmt::format("{} has no liquid at {}: the pressure there follows from the filling", r.designation,
                             at(at_131f)));
    }

    // The smaller of the two limits of the rule.
    void for_transport(const Refrigerant& r, const FillForTransport& rule) {
        if (!has_table(r)) return;
        const auto share = liquid_density(r, rule.density_at);
        const auto full = liquid_density(r, rule.not_full_at);
        if (!share || !full) {
            note(fmt::format("{}: {} has no liquid at {}: no figure by it", rule.clause, r.designation,
                             at(share ? rule.not_full_at : rule.density_at)));
            return;
        }
        const double by_share = share->in_kg_per_m3() * rule.of_density;
        const bool share_binds = by_share <= full->in_kg_per_m3();
        add("transport-fill",
            share_binds ? liquid_in(volume(), *share, rule.of_density) : liquid_in(volume(), *full, 1),
            share_binds ? fmt::format("{}: {:g} x {:.1f} kg/m3 of {} at {} x volume", rule.clause, rule.of_density,
                                      share->in_kg_per_m3(), r.designation, at(rule.density_at))
                        : fmt::format("{}: not liquid-full at {}: {:.1f} kg/m3 of {} x volume", rule.clause,
                                      at(rule.not_full_at), full->in_kg_per_m3(), r.designation));
    }

    // A filled cylinder stored in the heat: the usual share of liquid holds there too. For ammonia and carbon dioxide
    // only the transport rules count, and these ask only that the cylinder is not liquid-full.
    void where_stored(const Refrigerant& r, Temperature where) {
        if (!has_table(r) || where <= at_77f) return;  // the usual rules suppose 77 F: they hold when it is colder
        const auto density = liquid_density(r, where);
        if (!density) {
            no_liquid_where_stored_ = true;
            return;
        }
        if (question_.us_transport && ruled_by_transport_alone(r))
            add("not-liquid-full-where-stored", liquid_in(volume(), *density, below_liquid_full),
                fmt::format("shop rule: 0.98 x {:.1f} kg/m3 of {} at {} x volume", density->in_kg_per_m3(),
                            r.designation, at(where)));
        else
            add("80-percent-where-stored", liquid_in(volume(), *density, liquid_share),
                fmt::format("practitioners' rule for a hot van (trade press): 0.80 x water capacity x specific gravity "
                            "{:.4f} of {} at {}",
                            specific_gravity(*density), r.designation, at(where)));
    }

    void without_table(const Refrigerant& r) {
        if (no_liquid_at_131f(r)) {
            note(fmt::format("{} has no liquid at {} and no density on file: no computed limit", r.designation,
                             at(at_131f)));
            return;
        }
        note(fmt::format("no density on file for {}: the rule for unknown contents stands in", r.designation));
        if (mostly_hydrocarbon(r))
            light_gas();
        else
            unknown_contents();
    }

    // Warns if a few per cent more would leave no vapour at 131 F.
    void margin(const Refrigerant& r) {
        const auto density = liquid_density(r, at_131f);
        const bool thin =
            r.cylinder->thin_margin || limits_.candidates[limits_.binding].rule == "not-liquid-full-at-131F";
        if (!density || !thin) return;
        const double full = volume().filled_with(*density).in_kilograms();
        const double percent = (full / limits_.net().in_kilograms() - 1) * 100;
        if (percent > 5) return;
        note(
            fmt::format("thin margin: {:.1f} % more than this limit is liquid-full at {}; a weighing or tare error of "
                        "that size uses it up",
                        percent, at(at_131f)));
    }

    const FillQuestion& question_;
    FillLimits limits_;
    bool no_liquid_where_stored_ = false;
};

std::vector<const Refrigerant*> all_candidates(const FillQuestion& q) {
    auto all = q.could_be;
    if (q.refrigerant) all.insert(all.begin(), q.refrigerant);
    std::vector<const Refrigerant*> distinct;
    for (const auto* r : all)
        if (std::find(distinct.begin(), distinct.end(), r) == distinct.end()) distinct.push_back(r);
    return distinct;
}

}  // namespace

std::string limit_name(std::string_view rule, DisplayUnits units) {
    if (units == DisplayUnits::kg) {
        if (rule == "80-percent-at-77F") return "80-percent-at-25C";
        if (rule == "not-liquid-full-at-131F") return "not-liquid-full-at-55C";
        if (rule == "mixed-lightest-at-130F") return "mixed-lightest-at-54C";
    }
    return std::string(rule);
}

Result<FillLimits> fill_limits(const FillQuestion& question) {
    if (!(question.water_capacity > Volume::litres(0)))
        return usage("fill-limit-water-capacity", "a fill limit needs the water capacity", "",
                     "the WC stamped on the collar: 47.6lb, 21.6kg or 21.6L", "read the collar: WC");
    if (question.stamped_limit_net && *question.stamped_limit_net <= Mass())
        return usage("fill-limit-stamped", "a stamped limit is above zero",
                     pounds_text(*question.stamped_limit_net) + " lb", "the net weight stamped on the cylinder");
    const auto candidates = all_candidates(question);
    const bool one_known = question.refrigerant && candidates.size() == 1 && !question.mixed && !question.unnamed;
    Answer answer(question);
    if (one_known) {
        answer.one_refrigerant(*question.refrigerant);
    } else {
        answer.several(candidates);
        // A mixture with an unknown part counts as unknown.
        if (candidates.empty() || question.unnamed || (question.mixed && candidates.size() == 1))
            answer.unknown_contents();
    }
    if (answer.no_liquid_where_stored())
        return fail({ErrorKind::refused, "fill-limit-stored-at",
                     fmt::format("the table of {} has no liquid at {}: no limit can be computed for storing it there",
                                 question.refrigerant->designation, degrees(*question.stored_at, question.units)),
                     degrees(*question.stored_at, question.units), "a temperature at which it is liquid",
                     fmt::format("store it cooler: usual advice is never above {}",
                                 question.units == DisplayUnits::kg ? "52 C" : "125 F")});
    // A suspicion lowers a limit; it gives none to a gas that has none.
    if (question.hydrocarbon_or_ammonia_suspected && !answer.empty()) answer.light_gas();
    // With a candidate that is all gas at 131 F only a stamped limit counts, because a density rule does not limit it.
    const auto* all_gas = [&]() -> const Refrigerant* {
        if (one_known) return nullptr;
        for (const auto* r : candidates)
            if (no_liquid_at_131f(*r)) return r;
        return nullptr;
    }();
    answer.stamped();
    if (answer.empty() || (all_gas && !question.stamped_limit_net)) {
        const auto* named = all_gas ? all_gas : candidates.empty() ? nullptr : candidates.front();
        return fail(
            {ErrorKind::refused, "fill-limit-unknown",
             fmt::format("no fill limit can be computed for {}", named ? named->designation : "this content"), "",
             fmt::format("a gas that is liquid at {} and {}, one with a published filling density, or a stamped "
                         "limit",
                         degrees(at_77f, question.units), degrees(at_131f, question.units)),
             "read the limit stamped on the cylinder for this gas and give it with --stamped-limit, or ask the "
             "supplier"});
    }
    answer.choose(one_known ? question.refrigerant : nullptr);
    return answer.take();
}

}  // namespace tarebook
