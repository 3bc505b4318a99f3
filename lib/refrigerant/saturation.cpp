// Liquid density between the rows of a saturation table: a monotone cubic (Fritsch and Carlson 1980, with the slopes of
// Fritsch and Butland 1984) in (1 - T/Tc)^(1/3), the variable in which saturated liquid is nearly a straight line. It
// stays within 0.01 % of the equations of state (schema/saturation/README.md), cannot overshoot, and is never used
// outside the rows.
#include <cmath>

#include "tarebook/refrigerant.hpp"

namespace tarebook {
namespace {

// The variable falls with temperature, and density rises with it.
double scaled_distance(const Saturation& s, Temperature t) {
    return std::cbrt(1.0 - t.in_kelvin() / s.critical.in_kelvin());
}

struct Point {
    double x;
    double density;
};

Point point(const Saturation& s, std::size_t i) {
    return {scaled_distance(s, s.rows[i].temperature), s.rows[i].liquid.in_kg_per_m3()};
}

double secant(Point a, Point b) {
    return (b.density - a.density) / (b.x - a.x);
}

// Weighted harmonic mean of the two neighbouring secants: zero where they disagree in sign, so no overshoot.
double inner_slope(Point before, Point here, Point after) {
    const double left = secant(before, here);
    const double right = secant(here, after);
    if (left * right <= 0) return 0;
    const double h_left = std::abs(here.x - before.x);
    const double h_right = std::abs(after.x - here.x);
    const double w_left = 2 * h_right + h_left;
    const double w_right = h_right + 2 * h_left;
    return (w_left + w_right) / (w_left / left + w_right / right);
}

// Three-point slope at an end, cut back to what keeps the curve monotone.
double end_slope(Point end, Point next, Point third) {
    const double near = secant(end, next);
    const double far = secant(next, third);
    const double h_near = std::abs(next.x - end.x);
    const double h_far = std::abs(third.x - next.x);
    const double slope = ((2 * h_near + h_far) * near - h_near * far) / (h_near + h_far);
    if (slope * near <= 0) return 0;
    if (near * far <= 0 && std::abs(slope) > 3 * std::abs(near)) return 3 * near;
    return slope;
}

// The cubic between two rows.
class Piece {
 public:
    Piece(const Saturation& s, std::size_t first) : a_(point(s, first)), b_(point(s, first + 1)) {
        const std::size_t rows = s.rows.size();
        if (rows == 2) {
            slope_a_ = slope_b_ = secant(a_, b_);
            return;
        }
        slope_a_ = first == 0 ? end_slope(a_, b_, point(s, 2)) : inner_slope(point(s, first - 1), a_, b_);
        slope_b_ =
            first + 2 == rows ? end_slope(b_, a_, point(s, first - 1)) : inner_slope(a_, b_, point(s, first + 2));
    }
    [[nodiscard]] double density(double x) const {
        const double h = b_.x - a_.x;
        const double t = (x - a_.x) / h;
        const double u = 1 - t;
        return u * u * (1 + 2 * t) * a_.density + t * t * (3 - 2 * t) * b_.density + t * u * u * h * slope_a_ -
               t * t * u * h * slope_b_;
    }

 private:
    Point a_;
    Point b_;
    double slope_a_ = 0;
    double slope_b_ = 0;
};

}  // namespace

std::optional<Density> liquid_density(const Refrigerant& refrigerant, Temperature at) {
    const auto& s = refrigerant.saturation;
    if (s.rows.size() < 2 || !(at >= s.rows.front().temperature && at <= s.rows.back().temperature))
        return std::nullopt;
    std::size_t first = 0;
    std::size_t last = s.rows.size() - 1;
    while (last - first > 1) {
        const std::size_t middle = (first + last) / 2;
        (s.rows[middle].temperature <= at ? first : last) = middle;
    }
    return Density::kg_per_m3(Piece(s, first).density(scaled_distance(s, at)));
}

LiquidFull liquid_full(const Refrigerant& refrigerant, Density fill) {
    LiquidFull full;
    const auto& s = refrigerant.saturation;
    if (s.rows.size() < 2) return full;
    full.range_low = s.rows.front().temperature;
    full.range_high = s.rows.back().temperature;
    full.above_range = fill < s.rows.back().liquid;
    full.below_range = fill > s.rows.front().liquid;
    if (full.above_range || full.below_range) return full;
    std::size_t first = 0;
    std::size_t last = s.rows.size() - 1;
    while (last - first > 1) {
        const std::size_t middle = (first + last) / 2;
        (s.rows[middle].liquid >= fill ? first : last) = middle;
    }
    const Piece piece(s, first);
    double low = s.rows[first].temperature.in_celsius();
    double high = s.rows[last].temperature.in_celsius();
    // 5 K halved 40 times is far below what six digits in the table can say.
    for (int i = 0; i < 40; ++i) {
        const double middle = (low + high) / 2;
        const double density = piece.density(scaled_distance(s, Temperature::celsius(middle)));
        (density >= fill.in_kg_per_m3() ? low : high) = middle;
    }
    full.at = Temperature::celsius((low + high) / 2);
    return full;
}

}  // namespace tarebook
