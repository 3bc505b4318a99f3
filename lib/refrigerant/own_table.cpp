#include "own_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "compiled_refrigerants.hpp"

namespace tarebook::catalogue {
namespace {

constexpr double hottest_limit_c = 55;   // 131 F: the transport limit needs the liquid's density there
constexpr double coldest_start_c = 0;    // the 77 F rule needs a row on either side
constexpr double near_critical_k = 2.5;  // the shipped tables end 2.1 K below it
constexpr double closest_rows_k = 0.1;
constexpr double widest_rows_k = 10;
constexpr double heaviest_liquid = 3000;  // kg/m3

// Only a table of a gas without liquid at 55 C may end below 55 C: else the 131 F limit would be dropped without a
// word.
void check_reach(const OwnSource& own, const TableFaults& bad) {
    const double critical = own.critical_c;
    const auto& first = own.rows.front();
    const auto& last = own.rows.back();
    if (last.t_c > critical - closest_rows_k) bad.key("critical_c", "is not above the last row of the table");
    if (first.t_c > coldest_start_c) bad.row(0, "the table has to begin at 0 C or colder: the limit at 77 F needs it");
    if (!gas_alone_at_55c(own)) {
        if (last.t_c < hottest_limit_c)
            bad.row(own.rows.size() - 1, fmt::format("the table ends at {} C and has to reach 55 C (131 F), where a "
                                                     "cylinder must not be liquid-full",
                                                     last.t_c));
        return;
    }
    if (last.t_c < critical - near_critical_k)
        bad.row(own.rows.size() - 1,
                fmt::format("the table ends at {} C and has to reach {} K below the critical temperature, {} C",
                            last.t_c, near_critical_k, critical));
    // A wrong critical temperature would drop that limit too. So close to the critical point the density of the vapour
    // is nearly half of the liquid's; ten kelvin below it at most 0.3 (both on the shipped tables).
    if (last.vapor < 0.4 * last.liquid)
        bad.key("critical_c", fmt::format("cannot be: {} K below it the vapour has {:.0f} % of the liquid's density, "
                                          "and would have more than 40 %",
                                          fmt::format("{:.3g}", critical - last.t_c), last.vapor / last.liquid * 100));
}

void check_steps(const OwnSource& own, const TableFaults& bad) {
    for (std::size_t i = 1; i < own.rows.size(); ++i) {
        const double step = own.rows[i].t_c - own.rows[i - 1].t_c;
        if (step < closest_rows_k - 1e-9) bad.row(i, "t_c: rows closer than 0.1 K");
        if (step > widest_rows_k + 1e-9) bad.row(i, fmt::format("t_c: {:g} K after the row before; at most 10", step));
    }
}

// p M / (rho R T) of the saturated vapour is 1 in a thin gas, and falls up to the critical point. Gauge pressures, psi,
// bar, fahrenheit and pounds by the cubic foot all break this.
void check_units(const OwnSource& own, const TableFaults& bad) {
    constexpr const char* expected = "expected C, absolute kPa, kg/m3 and the right molar mass";
    double before = 0;
    for (std::size_t i = 0; i < own.rows.size(); ++i) {
        const auto& row = own.rows[i];
        if (row.liquid > heaviest_liquid) bad.row(i, "rho_liquid_kg_m3: no refrigerant is that heavy");
        const double z =
            row.dew_kpa * own.refrigerant.molar_mass_g_mol / (row.vapor * 8.314462618 * (row.t_c + 273.15));
        if (!(z > 0.2 && z < 1.1))
            bad.row(i,
                    fmt::format("the vapour's p M / (rho R T) is {:.3g}, and is between 0.2 and 1.1 for a real gas: {}",
                                z, expected));
        if (i > 0 && z > before * 1.02)
            bad.row(
                i, fmt::format("the vapour's p M / (rho R T) rises from {:.3f} to {:.3f}, and falls for a real gas: {}",
                               before, z, expected));
        before = z;
    }
}

struct Off {
    std::size_t row = 0;
    const char* column = "";
    double times = 0;  ///< a multiple of what is allowed
    double percent = 0;
};

SaturationRow typed(const SourceRow& row) {
    return {Temperature::celsius(row.t_c), AbsolutePressure::kilopascals(row.bubble_kpa),
            AbsolutePressure::kilopascals(row.dew_kpa), Density::kg_per_m3(row.liquid), Density::kg_per_m3(row.vapor)};
}

// Finds a wrong digit in a row that still rises and falls as it should: the row is left out and computed from its
// neighbours. The shipped tables, in steps of 10 K, are off by 0.16 % at most; rounding to three digits stays within
// what is allowed.
void check_smooth(const OwnSource& own, const TableFaults& bad) {
    struct Column {
        const char* name;
        double allowed_percent;
        double SourceRow::*value;
    };
    static constexpr Column columns[] = {{"p_bubble_kpa", 1, &SourceRow::bubble_kpa},
                                         {"p_dew_kpa", 1, &SourceRow::dew_kpa},
                                         {"rho_liquid_kg_m3", 0.5, &SourceRow::liquid},
                                         {"rho_vapor_kg_m3", 2, &SourceRow::vapor}};
    constexpr std::size_t beside = 3;
    const auto critical = Temperature::celsius(own.critical_c);
    Off worst;
    for (std::size_t i = 1; i + 1 < own.rows.size(); ++i) {
        std::vector<SaturationRow> rows;
        for (std::size_t k = i - std::min(i, beside); k < std::min(own.rows.size(), i + beside + 1); ++k)
            if (k != i) rows.push_back(typed(own.rows[k]));
        const auto nodes = saturation_nodes(rows, critical);
        Refrigerant without = refrigerants.front();  // a look-up needs a refrigerant: only its table counts
        without.saturation = {critical, rows, nodes, {}};
        const auto found = saturation_at(without, Temperature::celsius(own.rows[i].t_c));
        if (!found) continue;
        const SourceRow by_neighbours{own.rows[i].t_c, found->bubble.in_kilopascals(), found->dew.in_kilopascals(),
                                      found->liquid.in_kg_per_m3(), found->vapor.in_kg_per_m3()};
        for (const auto& c : columns) {
            const double percent = (own.rows[i].*c.value / (by_neighbours.*c.value) - 1) * 100;
            if (const double times = std::abs(percent) / c.allowed_percent; times > worst.times)
                worst = {i, c.name, times, percent};
        }
    }
    if (worst.times > 1)
        bad.row(worst.row,
                fmt::format("{}: {:+.1f} % off the curve through the rows beside it", worst.column, worst.percent));
}

}  // namespace

bool gas_alone_at_55c(const OwnSource& own) {
    return own.critical_c <= hottest_limit_c;
}

void check_own_table(const OwnSource& own, const TableFaults& bad) {
    check_reach(own, bad);
    check_steps(own, bad);
    check_smooth(own, bad);
    check_units(own, bad);
}

}  // namespace tarebook::catalogue
