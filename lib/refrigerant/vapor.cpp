// The virial equation of state, truncated after its third coefficient.
//
// C: H. Orbey and J. H. Vera, AIChE Journal 29 (1983) 107-113, corresponding states; from memory, compared with
// equations of state in tests/reference. Above the last row of a table B continues in the proportions of C.
// Tsonopoulos, AIChE Journal 20 (1974) 263-272; likewise.
#include "tarebook/refrigerant/vapor.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "tarebook/refrigerant/refrigerant.hpp"

namespace tarebook {
namespace {

constexpr double gas_constant = 8.314462618;  // J/(mol K), CODATA 2018
constexpr auto checked_up_to = AbsolutePressure::kilopascals(1000);

// Critical point and acentric factor for the correlations. Densities here are in mol/L, pressures in kPa.
struct Critical {
    double kelvin, kilopascals, acentric;
};

double kilopascals_at(const Refrigerant& r, double kelvin) {
    return saturation_at(r, Temperature::celsius(kelvin - 273.15))->dew.in_kilopascals();
}

Critical critical_of(const Refrigerant& r) {
    const auto& s = r.saturation;
    Critical c{s.critical.in_kelvin(), 0, 0};
    if (r.critical_pressure) {
        c.kilopascals = r.critical_pressure->in_kilopascals();
    } else {
        // ln p is nearly straight over 1/T, so the last two rows are extrapolated to the critical pressure.
        const auto& a = s.rows[s.rows.size() - 2];
        const auto& b = s.rows.back();
        const double x = (1 / c.kelvin - 1 / b.temperature.in_kelvin()) /
                         (1 / a.temperature.in_kelvin() - 1 / b.temperature.in_kelvin());
        c.kilopascals = b.dew.in_kilopascals() * std::pow(a.dew.in_kilopascals() / b.dew.in_kilopascals(), x);
    }
    // By its definition at 0.7 of the critical temperature; else from the nearest temperature of the table, along a
    // straight line.
    const double kelvin = std::clamp(0.7 * c.kelvin, s.low().in_kelvin(), s.high().in_kelvin());
    const double fall = std::log10(c.kilopascals / kilopascals_at(r, kelvin));
    c.acentric = fall / ((c.kelvin / kelvin - 1) * 0.7 / 0.3) - 1;
    return c;
}

double third_coefficient(const Critical& c, double kelvin) {
    const double tr = kelvin / c.kelvin;
    const double simple = 0.01407 + 0.02432 * std::pow(tr, -2.8) - 0.00313 * std::pow(tr, -10.5);
    const double acentric = -0.02676 + 0.0177 * std::pow(tr, -2.8) + 0.040 * std::pow(tr, -3) -
                            0.003 * std::pow(tr, -6) - 0.00228 * std::pow(tr, -10.5);
    const double scale = gas_constant * c.kelvin / c.kilopascals;
    return scale * scale * (simple + c.acentric * acentric);
}

// In units of R Tc / pc; only its proportions are used.
double second_coefficient_shape(const Critical& c, double kelvin) {
    const double tr = kelvin / c.kelvin;
    const double simple =
        0.1445 - 0.330 / tr - 0.1385 / (tr * tr) - 0.0121 / (tr * tr * tr) - 0.000607 * std::pow(tr, -8);
    const double acentric = 0.0637 + 0.331 / (tr * tr) - 0.423 / (tr * tr * tr) - 0.008 * std::pow(tr, -8);
    return simple + c.acentric * acentric;
}

struct Virial {
    double b, c;
    [[nodiscard]] double kilopascals(double density, double kelvin) const {
        return density * gas_constant * kelvin * (1 + density * (b + density * c));
    }
};

Virial through_dew_point(const Refrigerant& r, const Critical& critical, const SaturationPoint& dew) {
    const double kelvin = dew.temperature.in_kelvin();
    const double density = dew.vapor.in_kg_per_m3() / r.molar_mass_g_mol;
    const double z = dew.dew.in_kilopascals() / (density * gas_constant * kelvin);
    const double c = third_coefficient(critical, kelvin);
    return {(z - 1 - c * density * density) / density, c};
}

// The smallest density that gives the pressure. Precondition: `most` gives at least that pressure.
double density_of(const Virial& v, double kelvin, double kilopascals, double most) {
    double low = 0;
    double high = most;
    double density = std::min(kilopascals / (gas_constant * kelvin), most);
    for (int i = 0; i < 100; ++i) {
        const double miss = v.kilopascals(density, kelvin) - kilopascals;
        (miss < 0 ? low : high) = density;
        const double slope = gas_constant * kelvin * (1 + density * (2 * v.b + 3 * density * v.c));
        double next = density - miss / slope;
        if (!(next > low && next < high)) next = (low + high) / 2;
        if (std::abs(next - density) < 1e-12 * most) return next;
        density = next;
    }
    return density;
}

}  // namespace

tl::expected<Density, NoVapor> vapor_density(const Refrigerant& r, AbsolutePressure pressure, Temperature at) {
    const auto point = saturation_at(r, at);
    const auto& s = r.saturation;
    const double kelvin = at.in_kelvin();
    if (point) {
        if (pressure > point->dew)
            return tl::unexpected<NoVapor>(NoVapor{NoVapor::Why::liquid_present, at, point->dew, {}});
        const auto virial = through_dew_point(r, critical_of(r), *point);
        return Density::kg_per_m3(r.molar_mass_g_mol * density_of(virial, kelvin, pressure.in_kilopascals(),
                                                                  point->vapor.in_kg_per_m3() / r.molar_mass_g_mol));
    }
    if (point.error().side != OutsideTable::Side::hotter)
        return tl::unexpected<NoVapor>(NoVapor{NoVapor::Why::outside_table, at, pressure, point.error()});
    if (pressure > checked_up_to)
        return tl::unexpected<NoVapor>(NoVapor{NoVapor::Why::not_checked, at, checked_up_to, point.error()});
    const auto critical = critical_of(r);
    const auto last = saturation_at(r, s.high());
    auto virial = through_dew_point(r, critical, *last);
    virial.b *= second_coefficient_shape(critical, kelvin) / second_coefficient_shape(critical, s.high().in_kelvin());
    virial.c = third_coefficient(critical, kelvin);
    const double ideal = pressure.in_kilopascals() / (gas_constant * kelvin);
    return Density::kg_per_m3(r.molar_mass_g_mol * density_of(virial, kelvin, pressure.in_kilopascals(), 2 * ideal));
}

Error no_vapor(const Refrigerant& refrigerant, const NoVapor& why) {
    if (why.why == NoVapor::Why::outside_table) return outside_table(refrigerant, why.outside);
    const auto limit =
        fmt::format("{:.1f} psia ({:.0f} kPa absolute)", why.limit.in_psia(), why.limit.in_kilopascals());
    const auto temperature = fmt::format("{:.1f} F ({:.1f} C)", why.at.in_fahrenheit(), why.at.in_celsius());
    if (why.why == NoVapor::Why::liquid_present)
        return {ErrorKind::refused,
                "liquid-present",
                fmt::format("at {} {} begins to condense at {}: above that there is liquid, and the pressure does not "
                            "say how much",
                            temperature, refrigerant.designation, limit),
                "",
                fmt::format("a pressure up to {}", limit),
                ""};
    return {ErrorKind::refused,
            "vapor-not-checked",
            fmt::format("{} at {} is hotter than its table, and above {} its vapour has not been checked",
                        refrigerant.designation, temperature, limit),
            "",
            fmt::format("a pressure up to {}", limit),
            ""};
}

}  // namespace tarebook
