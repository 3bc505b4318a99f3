#include "uncertainty.hpp"

#include <cmath>

namespace tarebook::stocktake {
namespace {

double square(double v) {
    return v * v;
}
/// Variance of a value that is equally likely anywhere within +-bound.
double rectangle(double bound_lb) {
    return square(bound_lb) / 3;
}

// The display rounds to a division, and the zero may have moved by one division since it was set.
double own_variance_of(const StocktakeWeighing& weighing) {
    const double division_lb = division_of(weighing).in_pounds();
    return rectangle(division_lb / 2) + rectangle(division_lb);
}

}  // namespace

Mass division_of(const StocktakeWeighing& weighing) {
    if (weighing.division && Mass() < *weighing.division) return *weighing.division;
    return Mass::thousandths_of_a_pound(50);
}

double tolerance_lb(const StocktakeWeighing& weighing) {
    const Mass load = weighing.gross.mass;
    return (weighing.accuracy ? weighing.accuracy->at(load) : class_iii_tolerance(load, division_of(weighing)))
        .in_pounds();
}

Uncertainty uncertainty_of(const StocktakeWeighing& reading, const StocktakeExpectation& expected) {
    double variance = own_variance_of(reading);
    const double tolerance = tolerance_lb(reading);
    const bool one_scale = expected.weighed && !reading.scale.empty() && reading.scale == expected.weighed->scale;
    Uncertainty out;
    out.shared_lb = std::sqrt(rectangle(one_scale ? tolerance / 2 : tolerance));
    if (!expected.weighed) {
        variance += rectangle(tolerance) + rectangle(expected.stated_within.in_pounds());
        out.explained_lb = tolerance + expected.stated_within.in_pounds();
        out.other_scale_lb = expected.stated_within.in_pounds();
    } else {
        variance += own_variance_of(*expected.weighed);
        if (one_scale) {
            variance += rectangle(tolerance / 2);
            out.explained_lb = tolerance / 2 + 2 * division_of(reading).in_pounds();
        } else {
            out.other_scale_lb = tolerance_lb(*expected.weighed);
            variance += rectangle(tolerance) + rectangle(out.other_scale_lb);
            out.explained_lb = tolerance + out.other_scale_lb + division_of(reading).in_pounds() +
                               division_of(*expected.weighed).in_pounds();
        }
    }
    for (const auto& moved : expected.moved_since)
        variance += 2 * own_variance_of(moved) + rectangle(tolerance_lb(moved));
    out.standard_lb = std::sqrt(variance);
    return out;
}

}  // namespace tarebook::stocktake
