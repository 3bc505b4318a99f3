#include <fmt/format.h>

#include <algorithm>

#include "listed_mark.hpp"
#include "tarebook/refrigerant/cylinder_physics.hpp"
#include "tarebook/refrigerant/spec_mark.hpp"

namespace tarebook {
namespace {

std::optional<GaugePressure> needed_service(const Refrigerant& r) {
    if (!r.cylinder || !r.cylinder->at_55c) return std::nullopt;
    const auto highest = gauge_at_most(r, absolute(*r.cylinder->at_55c, standard_atmosphere()));
    return GaugePressure::kilopascals(highest.in_kilopascals() / 1.25);
}

struct Judged {
    Rating rating;
    std::string why;
};

// If the transport table names the gas, its list decides: R-22 may go into a 240 psig cylinder, even against the
// computed figure.
std::optional<Judged> by_list(const Refrigerant& r, const SpecMark& mark, std::string_view typed) {
    if (r.filling_densities.empty()) return std::nullopt;
    const auto& row = r.filling_densities.front();
    if (covers_one_of(mark, row.marks))
        return Judged{Rating::suits, fmt::format("{} lists {} for {}", row.clause, typed, r.designation)};
    for (const auto& listed : row.marks)
        if (listed.type == mark.type && listed.service_psig && mark.service_psig)
            return Judged{Rating::too_low, fmt::format("{} asks for at least {}{} for {}, not {}", row.clause,
                                                       listed.type, *listed.service_psig, r.designation, typed)};
    return std::nullopt;
}

// Pressures and the temperature of the rule, in the person's units. What a mark says is psig: in bar both stand.
struct Words {
    DisplayUnits units;
    [[nodiscard]] bool metric() const { return units == DisplayUnits::kg; }
    [[nodiscard]] const char* hot() const { return metric() ? "55 C" : "131 F"; }
    [[nodiscard]] std::string service(GaugePressure p) const {
        return metric() ? fmt::format("{:.1f} barg", p.in_kilopascals() / 100)
                        : fmt::format("{:.1f} psig", p.in_psig());
    }
    [[nodiscard]] std::string mark(std::int64_t psig) const {
        return metric() ? fmt::format("{} ({} psig)", service(GaugePressure::psig(static_cast<double>(psig))), psig)
                        : fmt::format("{}", psig);
    }
};

Judged no_figure(const Refrigerant& r, const Words& words) {
    return {Rating::unknown,
            fmt::format("no pressure at {} is on file for {}: ask the supplier", words.hot(), r.designation)};
}
Judged no_liquid(const Refrigerant& r, const Words& words) {
    return {Rating::unknown, fmt::format("{} has no liquid at {}: its pressure depends on the filling; read the limit "
                                         "stamped for this gas",
                                         r.designation, words.hot())};
}

// The same figures without the clauses of the United States.
Judged judge_elsewhere(const Refrigerant& r, const SpecMark& mark, std::string_view typed, const Words& words) {
    const auto needed = needed_service(r);
    if (!needed) return no_figure(r, words);
    if (!mark.service_psig)
        return {Rating::unknown, fmt::format("{} does not say its service pressure: read the collar", typed)};
    const auto service = GaugePressure::psig(*mark.service_psig);
    const auto figures =
        fmt::format("{} needs {} of service pressure, so that {} stays within 5/4 of it (saturation table); {} has {}",
                    r.designation, words.service(*needed), words.hot(), typed, words.service(service));
    if (service < *needed) return {Rating::too_low, figures};
    if (r.cylinder->no_liquid_at_55c) return no_liquid(r, words);
    return {Rating::suits, figures};
}

Judged judge(const Refrigerant& r, const SpecMark& mark, std::string_view typed, const Words& words) {
    if (auto listed = by_list(r, mark, typed)) return *listed;
    const auto needed = needed_service(r);
    if (!needed) return no_figure(r, words);
    if (!mark.service_psig)
        return {Rating::unknown, fmt::format("{} does not say its service pressure: read the collar", typed)};
    const auto figures = fmt::format(
        "{} needs {} of service pressure, so that {} stays within 5/4 of it (49 CFR 173.301a(d)); {} has {}",
        r.designation, words.service(*needed), words.hot(), typed, words.mark(*mark.service_psig));
    if (GaugePressure::psig(*mark.service_psig) < *needed) return {Rating::too_low, figures};
    if (!r.filling_densities.empty())
        return {Rating::unknown, fmt::format("{} names the cylinders for {}, and {} is not among them",
                                             r.filling_densities.front().clause, r.designation, typed)};
    if (r.cylinder->no_liquid_at_55c) return no_liquid(r, words);
    return {Rating::suits, figures};
}

// Worst first: one candidate whose pressure is too high for the cylinder decides.
int severity(Rating r) {
    return r == Rating::too_low ? 2 : r == Rating::unknown ? 1 : 0;
}

}  // namespace

RatingVerdict pressure_rating(std::span<const Refrigerant* const> could_be, std::string_view spec_mark,
                              bool us_transport, DisplayUnits units) {
    RatingVerdict verdict;
    const Words words{units};
    for (const auto* r : could_be)
        if (const auto needed = needed_service(*r); needed && (!verdict.needed || *needed > *verdict.needed))
            verdict.needed = needed;
    const auto mark = parse_spec_mark(spec_mark);
    if (could_be.empty()) {
        verdict.why = "what is in the cylinder is not known";
        return verdict;
    }
    if (!mark) {
        verdict.why = spec_mark.empty() ? "no specification mark on record: read the collar"
                                        : fmt::format("\"{}\" is not a mark that is known here{}: read the collar",
                                                      spec_mark, us_transport ? ", such as DOT-4BA400" : "");
        return verdict;
    }
    std::optional<Judged> worst;
    std::optional<GaugePressure> worst_needed;
    for (const auto* r : could_be) {
        auto judged = us_transport ? judge(*r, *mark, spec_mark, words) : judge_elsewhere(*r, *mark, spec_mark, words);
        const auto needed = needed_service(*r);
        const bool worse = !worst || severity(judged.rating) > severity(worst->rating) ||
                           (judged.rating == worst->rating && needed && (!worst_needed || *needed > *worst_needed));
        if (!worse) continue;
        worst = std::move(judged);
        worst_needed = needed;
    }
    verdict.rating = worst->rating;
    verdict.why = worst->why;
    return verdict;
}

}  // namespace tarebook
