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

// The same figures without the clauses of the United States, in the units of the country.
Judged judge_elsewhere(const Refrigerant& r, const SpecMark& mark, std::string_view typed) {
    const auto needed = needed_service(r);
    if (!needed)
        return {Rating::unknown, fmt::format("no pressure at 55 C is on file for {}: ask the supplier", r.designation)};
    if (!mark.service_psig)
        return {Rating::unknown, fmt::format("{} does not say its service pressure: read the collar", typed)};
    const auto service = GaugePressure::psig(*mark.service_psig);
    const auto figures = fmt::format(
        "{} needs {:.1f} bar of service pressure, so that 55 C stays within 5/4 of it (saturation table); {} has "
        "{:.1f} bar",
        r.designation, needed->in_kilopascals() / 100, typed, service.in_kilopascals() / 100);
    if (service < *needed) return {Rating::too_low, figures};
    if (r.cylinder->no_liquid_at_55c)
        return {Rating::unknown, fmt::format("{} has no liquid at 55 C: its pressure depends on the filling; read the "
                                             "limit stamped for this gas",
                                             r.designation)};
    return {Rating::suits, figures};
}

Judged judge(const Refrigerant& r, const SpecMark& mark, std::string_view typed) {
    if (auto listed = by_list(r, mark, typed)) return *listed;
    const auto needed = needed_service(r);
    if (!needed)
        return {Rating::unknown,
                fmt::format("no pressure at 131 F is on file for {}: ask the supplier", r.designation)};
    if (!mark.service_psig)
        return {Rating::unknown, fmt::format("{} does not say its service pressure: read the collar", typed)};
    const auto figures = fmt::format(
        "{} needs {:.1f} psig of service pressure, so that 131 F stays within 5/4 of it (49 CFR 173.301a(d))",
        r.designation, needed->in_psig());
    if (GaugePressure::psig(*mark.service_psig) < *needed)
        return {Rating::too_low, fmt::format("{}; {} has {}", figures, typed, *mark.service_psig)};
    if (!r.filling_densities.empty())
        return {Rating::unknown, fmt::format("{} names the cylinders for {}, and {} is not among them",
                                             r.filling_densities.front().clause, r.designation, typed)};
    if (r.cylinder->no_liquid_at_55c)
        return {Rating::unknown, fmt::format("{} has no liquid at 131 F: its pressure depends on the filling; read the "
                                             "limit stamped for this gas",
                                             r.designation)};
    return {Rating::suits, fmt::format("{}; {} has {}", figures, typed, *mark.service_psig)};
}

// Worst first: one candidate whose pressure is too high for the cylinder decides.
int severity(Rating r) {
    return r == Rating::too_low ? 2 : r == Rating::unknown ? 1 : 0;
}

}  // namespace

RatingVerdict pressure_rating(std::span<const Refrigerant* const> could_be, std::string_view spec_mark,
                              bool us_transport) {
    RatingVerdict verdict;
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
        auto judged = us_transport ? judge(*r, *mark, spec_mark) : judge_elsewhere(*r, *mark, spec_mark);
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
