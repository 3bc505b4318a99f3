#include "offset.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace tarebook::stocktake {
namespace {

constexpr double cut = 3;  // in standard uncertainties: a larger difference weighs no more than this one
constexpr std::size_t fewest_readings = 8;  // fewer could be losses that are alike by chance
constexpr double fewest_that_agree = 2.0 / 3;

struct Candidate {
    std::string scale;
    OffsetWhen when;
    OffsetShape shape;

    /// By how much one unit of the offset changes this difference.
    [[nodiscard]] double lever(const Difference& d) const {
        double out = 0;
        const bool proportional = shape == OffsetShape::proportional;
        if (when != OffsetWhen::before && d.scale == scale) out += proportional ? d.load_lb : 1;
        if (when != OffsetWhen::in_count && d.before == scale) out -= proportional ? d.before_load_lb : 1;
        // An error of one scale that is in both weighings is in no difference of them.
        if (when == OffsetWhen::always && d.scale == scale && d.before == scale) return 0;
        return out;
    }
};

struct Fit {
    Candidate candidate;
    double value = 0;
    double variance = 0;
    double gain = 0;  ///< the decrease of the sum of cut squares
    std::size_t readings = 0, agreeing = 0;
};

double cut_square(double deviate) {
    return std::min(deviate * deviate, cut * cut);
}

// The value below which half of the weight is: a minority of readings cannot move it, so it is a fair start.
double weighted_median(std::vector<std::pair<double, double>> values) {
    std::sort(values.begin(), values.end());
    double whole = 0;
    for (const auto& [value, weight] : values) whole += weight;
    double below = 0;
    for (const auto& [value, weight] : values) {
        below += weight;
        if (below * 2 >= whole) return value;
    }
    return 0;
}

Fit fit(const Candidate& candidate, const std::vector<Difference>& all) {
    Fit out{candidate, 0, 0, 0, 0, 0};
    struct Point {
        double lever, rest_lb, standard_lb;
    };
    std::vector<Point> points;
    for (const auto& d : all)
        if (const double lever = candidate.lever(d); lever != 0)
            points.push_back({lever, d.rest_lb, d.uncertainty.standard_lb});
    out.readings = points.size();
    if (points.size() < fewest_readings) return out;
    std::vector<std::pair<double, double>> slopes;
    slopes.reserve(points.size());
    for (const auto& p : points) slopes.emplace_back(p.rest_lb / p.lever, std::abs(p.lever) / p.standard_lb);
    out.value = weighted_median(std::move(slopes));
    for (int round = 0; round < 20; ++round) {
        double up = 0;
        double down = 0;
        std::size_t agreeing = 0;
        for (const auto& p : points) {
            if (std::abs(p.rest_lb - out.value * p.lever) > cut * p.standard_lb) continue;
            const double weight = 1 / (p.standard_lb * p.standard_lb);
            up += weight * p.lever * p.rest_lb;
            down += weight * p.lever * p.lever;
            ++agreeing;
        }
        if (down == 0) return out;
        const double next = up / down;
        const bool converged = std::abs(next - out.value) <= 1e-12 * std::abs(next);
        out.value = next;
        out.variance = 1 / down;
        out.agreeing = agreeing;
        if (converged) break;
    }
    for (const auto& p : points)
        out.gain +=
            cut_square(p.rest_lb / p.standard_lb) - cut_square((p.rest_lb - out.value * p.lever) / p.standard_lb);
    return out;
}

std::vector<Candidate> candidates_of(const std::vector<Difference>& all) {
    std::set<std::string> scales;
    for (const auto& d : all) scales.insert({d.scale, d.before});
    scales.erase("");
    std::vector<Candidate> out;
    for (const auto& scale : scales)
        for (const auto when : {OffsetWhen::in_count, OffsetWhen::always, OffsetWhen::before})
            for (const auto shape : {OffsetShape::constant, OffsetShape::proportional})
                out.push_back({scale, when, shape});
    return out;
}

bool is_sound(const Fit& f, double least_gain) {
    return f.gain > least_gain &&
           static_cast<double>(f.agreeing) >= fewest_that_agree * static_cast<double>(f.readings);
}

ScaleOffset told(const Fit& f, const std::vector<Fit>& rivals, const std::vector<Difference>& all, double deviate) {
    ScaleOffset out;
    out.scale = f.candidate.scale;
    out.when = f.candidate.when;
    out.shape = f.candidate.shape;
    out.readings = f.readings;
    double load_lb = 0;
    double explained_lb = 0;
    double others_lb2 = 0;
    for (const auto& d : all) {
        if (f.candidate.lever(d) == 0) continue;
        load_lb += d.scale == f.candidate.scale ? d.load_lb : d.before_load_lb;
        explained_lb += d.uncertainty.explained_lb;
        others_lb2 += d.uncertainty.other_scale_lb * d.uncertainty.other_scale_lb / 3;
    }
    const auto n = static_cast<double>(f.readings);
    load_lb /= n, explained_lb /= n, others_lb2 /= n;
    const double lever = f.candidate.shape == OffsetShape::proportional ? load_lb : 1;
    const double standard_lb = std::sqrt(f.variance) * lever;
    const auto mass = [](double lb) { return Mass::from_kilograms(lb * 0.45359237); };
    out.at_load = mass(load_lb);
    out.offset = mass(f.value * lever);
    out.share = f.candidate.shape == OffsetShape::proportional ? f.value : 0;
    out.uncertainty = mass(2 * std::sqrt(standard_lb * standard_lb + others_lb2));
    out.beyond_tolerance = std::abs(f.value * lever) > explained_lb + deviate * standard_lb;
    // A rival within four of the best gain is less than two standard uncertainties worse.
    for (const auto& rival : rivals) {
        if (rival.gain + 4 < f.gain || rival.readings < fewest_readings) continue;
        const auto& c = rival.candidate;
        // The same scale at another time: that the scale is off matters more than since when.
        if (c.scale == out.scale) {
            if (c.when == out.when && c.shape != out.shape) out.shape_is_clear = false;
            continue;
        }
        const std::pair other{c.scale, c.when};
        if (std::find(out.or_else.begin(), out.or_else.end(), other) == out.or_else.end()) out.or_else.push_back(other);
    }
    return out;
}

}  // namespace

double probability_of_passing(double deviate) {
    return std::erfc(std::abs(deviate) / std::sqrt(2.0));
}
double deviate_passed_with(double probability) {
    double low = 0;
    double high = 40;
    for (int i = 0; i < 80; ++i) {
        const double middle = (low + high) / 2;
        (probability_of_passing(middle) > probability ? low : high) = middle;
    }
    return high;
}

std::vector<ScaleOffset> take_offsets_out(std::vector<Difference>& differences, double false_alarms) {
    for (auto& d : differences) d.rest_lb = d.difference_lb, d.standard_lb = d.uncertainty.standard_lb;
    auto left = candidates_of(differences);
    if (left.empty()) return {};
    const double deviate = deviate_passed_with(false_alarms / static_cast<double>(left.size()));
    std::vector<ScaleOffset> offsets;
    std::vector<Fit> taken;
    const auto shift = [&](const Fit& f, double sign) {
        for (auto& d : differences) d.rest_lb -= sign * f.value * f.candidate.lever(d);
    };
    while (!left.empty()) {
        std::vector<Fit> fits;
        for (const auto& candidate : left) fits.push_back(fit(candidate, differences));
        // Of equal fits the first: a scale that is off today is likelier than one that was off at every earlier
        // reading.
        const auto best = std::max_element(fits.begin(), fits.end(),
                                           [](const Fit& a, const Fit& b) { return a.gain < b.gain - 1e-9; });
        if (!is_sound(*best, deviate * deviate)) break;
        offsets.push_back(told(*best, fits, differences, deviate));
        taken.push_back(*best);
        shift(*best, 1);
        std::erase_if(left, [&](const Candidate& c) {
            return c.scale == best->candidate.scale && c.when == best->candidate.when;
        });
    }
    // Fits each offset again without the others: what one fit left over may have gone into the next one.
    for (int round = 0; round < 3 && taken.size() > 1; ++round)
        for (std::size_t i = 0; i < taken.size(); ++i) {
            shift(taken[i], -1);
            const auto again = fit(taken[i].candidate, differences);
            if (again.variance > 0) taken[i].value = again.value, taken[i].variance = again.variance;
            shift(taken[i], 1);
            auto fresh = told(taken[i], {}, differences, deviate);
            fresh.or_else = offsets[i].or_else;
            fresh.shape_is_clear = offsets[i].shape_is_clear;
            offsets[i] = fresh;
        }
    for (auto& d : differences) {
        double variance = d.standard_lb * d.standard_lb;
        for (const auto& f : taken) {
            const double lever = f.candidate.lever(d);
            variance += f.variance * lever * lever;
        }
        d.standard_lb = std::sqrt(variance);
    }
    return offsets;
}

}  // namespace tarebook::stocktake
