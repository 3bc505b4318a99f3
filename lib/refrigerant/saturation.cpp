// Look-ups on the curve through a table (saturation_nodes.cpp). From a temperature: two polynomials of 1/T and two of
// the distance from the critical point. From a pressure or a density: the piece is found among the nodes, then Newton's
// rule runs inside a bracket that only shrinks, so that it ends on every monotone cubic.
#include "tarebook/refrigerant/saturation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "tarebook/refrigerant/refrigerant.hpp"

namespace tarebook {
namespace {

// A cubic between two nodes, over t from 0 to 1.
struct Cubic {
    double c0, c1, c2, c3;

    static Cubic hermite(double width, double y0, double slope0, double y1, double slope1) {
        const double rise = y1 - y0;
        const double m0 = slope0 * width;
        const double m1 = slope1 * width;
        return {y0, m0, 3 * rise - 2 * m0 - m1, m0 + m1 - 2 * rise};
    }
    [[nodiscard]] double at(double t) const { return ((c3 * t + c2) * t + c1) * t + c0; }
    [[nodiscard]] double slope(double t) const { return (3 * c3 * t + 2 * c2) * t + c1; }

    /// t of `value`. Precondition: the piece is monotone and `value` is between its ends.
    [[nodiscard]] double find(double value) const {
        const double end = c0 + c1 + c2 + c3;
        if (end == c0) return 0;
        const bool rising = end > c0;
        double low = 0;
        double high = 1;
        double t = std::clamp((value - c0) / (end - c0), 0.0, 1.0);
        for (int i = 0; i < 60; ++i) {
            const double miss = at(t) - value;
            if (miss == 0) return t;
            ((miss > 0) == rising ? high : low) = t;
            double next = t - miss / slope(t);
            if (!(next > low && next < high)) next = (low + high) / 2;
            // Newton's rule doubles the digits: after so small a step the next one is below the last digit.
            if (std::abs(next - t) < 1e-8) return next;
            t = next;
        }
        return t;
    }
};

using Node = SaturationNode;

Cubic dew_curve(const Node& a, const Node& b) {
    return Cubic::hermite(b.inverse_kelvin - a.inverse_kelvin, a.ln_dew, a.ln_dew_slope, b.ln_dew, b.ln_dew_slope);
}
Cubic gap_curve(const Node& a, const Node& b) {
    return Cubic::hermite(b.inverse_kelvin - a.inverse_kelvin, a.gap, a.gap_slope, b.gap, b.gap_slope);
}
Cubic bubble_curve(const Node& a, const Node& b) {
    const auto dew = dew_curve(a, b);
    const auto gap = gap_curve(a, b);
    return {dew.c0 + gap.c0, dew.c1 + gap.c1, dew.c2 + gap.c2, dew.c3 + gap.c3};
}
Cubic liquid_curve(const Node& a, const Node& b) {
    return Cubic::hermite(b.distance - a.distance, a.liquid, a.liquid_slope, b.liquid, b.liquid_slope);
}
Cubic vapor_curve(const Node& a, const Node& b) {
    return Cubic::hermite(b.distance - a.distance, a.ln_vapor, a.ln_vapor_slope, b.ln_vapor, b.ln_vapor_slope);
}

double distance_at(const Saturation& s, Temperature t) {
    return std::cbrt(1 - t.in_kelvin() / s.critical.in_kelvin());
}

tl::unexpected<OutsideTable> outside(const Saturation& s, OutsideTable::Side side) {
    if (!s.has_table()) return tl::unexpected<OutsideTable>(OutsideTable{});
    return tl::unexpected<OutsideTable>(OutsideTable{side, s.low(), s.high()});
}

/// The lower node of the piece in which `past` turns from false to true. Precondition: nodes are in order of
/// temperature.
template <class Past>
const Node* piece(const Saturation& s, Past past) {
    // Halves without a jump: which half it is cannot be predicted, and each wrongly predicted jump costs as much as a
    // cubic.
    const Node* first = s.nodes.data();
    for (std::size_t pieces = s.nodes.size() - 1; pieces > 1;) {
        const std::size_t half = pieces / 2;
        first = past(first[half]) ? first : first + half;
        pieces -= half;
    }
    return first;
}

// NaN is in no range, and comes out as "colder" rather than as a figure.
Saturated<const Node*> piece_at(const Saturation& s, Temperature at) {
    if (!s.has_table()) return outside(s, OutsideTable::Side::no_table);
    if (at > s.high()) return outside(s, OutsideTable::Side::hotter);
    if (!(at >= s.low())) return outside(s, OutsideTable::Side::colder);
    const double kelvin = at.in_kelvin();
    return piece(s, [kelvin](const Node& n) { return n.kelvin > kelvin; });
}

// A result can be asked for again: it is clamped, so that its last digit does not leave the table.
Temperature in_range(const Saturation& s, double kelvin) {
    return std::clamp(Temperature::celsius(kelvin - 273.15), s.low(), s.high());
}

// The inverse on 1/T, for a pressure that rises with temperature.
template <class Value, class Curve>
Saturated<Temperature> from_pressure(const Saturation& s, AbsolutePressure at, Value value, Curve curve) {
    if (!s.has_table()) return outside(s, OutsideTable::Side::no_table);
    const double ln = at.in_kilopascals() > 0 ? std::log(at.in_kilopascals()) : -HUGE_VAL;
    // A row's own pressure is in the table, though log and exp may change its last digit.
    constexpr double rounding = 1e-12;
    const double lowest = value(s.nodes.front());
    const double highest = value(s.nodes.back());
    if (ln > highest + rounding) return outside(s, OutsideTable::Side::hotter);
    if (!(ln >= lowest - rounding)) return outside(s, OutsideTable::Side::colder);
    const double inside = std::clamp(ln, lowest, highest);
    const Node* a = piece(s, [&](const Node& n) { return value(n) > inside; });
    const double t = curve(a[0], a[1]).find(inside);
    return in_range(s, 1 / (a[0].inverse_kelvin + t * (a[1].inverse_kelvin - a[0].inverse_kelvin)));
}

}  // namespace

bool Provenance::estimated() const {
    return std::any_of(pairs.begin(), pairs.end(), [](const PairSource& p) { return p.estimated; });
}

Saturated<SaturationPoint> saturation_at(const Refrigerant& refrigerant, Temperature at) {
    const auto& s = refrigerant.saturation;
    const auto found = piece_at(s, at);
    if (!found) return tl::unexpected<OutsideTable>(found.error());
    const Node& a = (*found)[0];
    const Node& b = (*found)[1];
    const double u = (1 / at.in_kelvin() - a.inverse_kelvin) / (b.inverse_kelvin - a.inverse_kelvin);
    const double v = (distance_at(s, at) - a.distance) / (b.distance - a.distance);
    const double dew = std::exp(dew_curve(a, b).at(u));
    // exp(0) is exactly one: a pure refrigerant has one pressure, to the last digit.
    const double gap = std::max(0.0, gap_curve(a, b).at(u));
    return SaturationPoint{at, AbsolutePressure::kilopascals(gap == 0 ? dew : dew * std::exp(gap)),
                           AbsolutePressure::kilopascals(dew), Density::kg_per_m3(liquid_curve(a, b).at(v)),
                           Density::kg_per_m3(std::exp(vapor_curve(a, b).at(v)))};
}

Saturated<Temperature> bubble_temperature(const Refrigerant& refrigerant, AbsolutePressure at) {
    return from_pressure(
        refrigerant.saturation, at, [](const Node& n) { return n.ln_dew + n.gap; }, bubble_curve);
}

Saturated<Temperature> dew_temperature(const Refrigerant& refrigerant, AbsolutePressure at) {
    return from_pressure(
        refrigerant.saturation, at, [](const Node& n) { return n.ln_dew; }, dew_curve);
}

Saturated<Temperature> liquid_temperature(const Refrigerant& refrigerant, Density liquid) {
    const auto& s = refrigerant.saturation;
    if (!s.has_table()) return outside(s, OutsideTable::Side::no_table);
    const double wanted = liquid.in_kg_per_m3();
    if (wanted < s.nodes.back().liquid) return outside(s, OutsideTable::Side::hotter);
    if (!(wanted <= s.nodes.front().liquid)) return outside(s, OutsideTable::Side::colder);
    const Node* a = piece(s, [wanted](const Node& n) { return n.liquid < wanted; });
    const double t = liquid_curve(a[0], a[1]).find(wanted);
    const double distance = a[0].distance + t * (a[1].distance - a[0].distance);
    return in_range(s, s.critical.in_kelvin() * (1 - distance * distance * distance));
}

std::optional<Density> liquid_density(const Refrigerant& refrigerant, Temperature at) {
    const auto& s = refrigerant.saturation;
    const auto found = piece_at(s, at);
    if (!found) return std::nullopt;
    const Node& a = (*found)[0];
    const Node& b = (*found)[1];
    return Density::kg_per_m3(liquid_curve(a, b).at((distance_at(s, at) - a.distance) / (b.distance - a.distance)));
}

Error outside_table(const Refrigerant& refrigerant, const OutsideTable& outside) {
    const auto name = refrigerant.designation;
    if (outside.side == OutsideTable::Side::no_table)
        return {ErrorKind::refused,
                "saturation-no-table",
                fmt::format("there is no saturation table for {}: no pressure and no density can be computed", name),
                std::string(name),
                "a refrigerant with a table",
                "read the maker's own chart for it"};
    const auto& s = refrigerant.saturation;
    const bool hotter = outside.side == OutsideTable::Side::hotter;
    const auto limit = hotter ? outside.high : outside.low;
    // The last row is just below the critical point, or at 75 C if that point is far away.
    const bool critical = hotter && s.critical - outside.high < TemperatureDifference::kelvin(5);
    return {ErrorKind::refused,
            "saturation-range",
            fmt::format("the table of {} ends there: nothing {} {:.1f} C ({:.1f} F) is computed{}", name,
                        hotter ? "above" : "below", limit.in_celsius(), limit.in_fahrenheit(),
                        critical ? fmt::format(", and above {:.1f} C it has no liquid", s.critical.in_celsius()) : ""),
            "",
            fmt::format("{:.1f} to {:.1f} C ({:.1f} to {:.1f} F)", outside.low.in_celsius(), outside.high.in_celsius(),
                        outside.low.in_fahrenheit(), outside.high.in_fahrenheit()),
            ""};
}

}  // namespace tarebook
