// Equations of state that others published, as the tests' own measure: the reduced Helmholtz energy of the gas as a sum
// of terms n delta^d tau^t exp(-delta^l), and its Gaussian terms.
//
// The coefficients were written down from memory. What speaks for them: each equation meets every saturated-vapour row
// of the refrigerant's table (vapor_density_test.cpp), which was computed elsewhere by the same authors' equations; a
// wrong digit would not.
#pragma once

#include <cmath>
#include <vector>

namespace tarebook::tests {

struct Term {
    double n, d, t, l;
};
struct Gauss {
    double n, d, t, eta, beta, gamma, epsilon;
};
struct Helmholtz {
    const char* designation;
    const char* source;
    double kelvin, mol_per_litre;  ///< reducing parameters
    double molar_mass, gas_constant;
    double meets_table_within;
    std::vector<Term> terms;
    std::vector<Gauss> gauss;

    [[nodiscard]] double z(double temperature_k, double density_mol_l) const {
        const double tau = kelvin / temperature_k;
        const double delta = density_mol_l / mol_per_litre;
        double sum = 1;
        for (const auto& [n, d, t, l] : terms) {
            const double damped = l == 0 ? d : std::exp(-std::pow(delta, l)) * (d - l * std::pow(delta, l));
            sum += n * std::pow(delta, d) * std::pow(tau, t) * damped;
        }
        for (const auto& g : gauss)
            sum += g.n * std::pow(delta, g.d) * std::pow(tau, g.t) *
                   std::exp(-g.eta * std::pow(delta - g.epsilon, 2) - g.beta * std::pow(tau - g.gamma, 2)) *
                   (g.d - 2 * g.eta * delta * (delta - g.epsilon));
        return sum;
    }
    [[nodiscard]] double kilopascals(double temperature_k, double density_mol_l) const {
        return density_mol_l * gas_constant * temperature_k * z(temperature_k, density_mol_l);
    }
    /// Density of the vapour, kg/m3.
    [[nodiscard]] double vapor_kg_m3(double temperature_k, double pressure_kpa) const {
        double density = pressure_kpa / (gas_constant * temperature_k);
        for (int i = 0; i < 400; ++i)  // halfway each time: the plain step swings near the critical point
            density = (density + pressure_kpa / (gas_constant * temperature_k * z(temperature_k, density))) / 2;
        return density * molar_mass;
    }
};

inline const std::vector<Helmholtz>& published_equations() {
    static const std::vector<Helmholtz> all = {
        {"R-134a",
         "Tillner-Roth and Baehr (1994), J. Phys. Chem. Ref. Data 23, 657",
         374.18,
         4.978830170926768,
         102.032,
         8.314471,
         2e-05,
         {{0.05586817, 2, -0.5, 0},  {0.498223, 1, 0, 0},      {0.02458698, 3, 0, 0},   {0.0008570145, 6, 0, 0},
          {0.0004788584, 6, 1.5, 0}, {-1.800808, 1, 1.5, 0},   {0.2671641, 1, 2, 0},    {-0.04781652, 2, 2, 0},
          {0.01423987, 5, 1, 1},     {0.3324062, 2, 3, 1},     {-0.007485907, 2, 5, 1}, {0.0001017263, 4, 1, 2},
          {-0.5184567, 1, 5, 2},     {-0.08692288, 4, 5, 2},   {0.2057144, 1, 6, 2},    {-0.005000457, 2, 10, 2},
          {0.0004603262, 4, 10, 2},  {-0.003497836, 1, 10, 3}, {0.006995038, 5, 18, 3}, {-0.01452184, 3, 22, 3},
          {-0.0001285458, 10, 50, 4}},
         {}},
        {"R-290",
         "Lemmon, McLinden and Wagner (2009), J. Chem. Eng. Data 54, 3141",
         369.89,
         5.0,
         44.09562,
         8.314472,
         2e-05,
         {{0.042910051, 4, 1, 0},
          {1.7313671, 1, 0.33, 0},
          {-2.4516524, 1, 0.8, 0},
          {0.34157466, 2, 0.43, 0},
          {-0.46047898, 2, 0.9, 0},
          {-0.66847295, 1, 2.46, 1},
          {0.20889705, 3, 2.09, 1},
          {0.19421381, 6, 0.88, 1},
          {-0.22917851, 6, 1.09, 1},
          {-0.60405866, 2, 3.25, 2},
          {0.066680654, 3, 4.62, 2}},
         {{0.017534618, 1, 0.76, 0.963, 2.33, 0.684, 1.283},
          {0.33874242, 1, 2.5, 1.977, 3.47, 0.829, 0.6936},
          {0.22228777, 1, 2.75, 1.917, 3.15, 1.419, 0.788},
          {-0.23219062, 2, 3.05, 2.307, 3.19, 0.817, 0.473},
          {-0.09220694, 2, 2.55, 2.546, 0.92, 1.5, 0.8577},
          {-0.47575718, 4, 8.4, 3.28, 18.8, 1.426, 0.271},
          {-0.017486824, 1, 6.75, 14.6, 547.8, 1.093, 0.948}}},
        {"R-410A",
         "Lemmon (2003), Int. J. Thermophys. 24, 991: pseudo-pure, where the table is of the mixture",
         344.494,
         6.323999041129483,
         72.5854,
         8.314472,
         0.001,
         {{0.987252, 1, 0.44, 0},  {-1.03017, 1, 1.2, 0},   {1.17666, 1, 2.97, 0},   {-0.138991, 2, 2.95, 0},
          {0.00302373, 5, 0.2, 0}, {-2.53639, 1, 1.93, 1},  {-1.9668, 2, 1.78, 1},   {-0.83048, 3, 3.0, 1},
          {0.172477, 5, 0.2, 1},   {-0.261116, 5, 0.74, 1}, {-0.0745473, 5, 3.0, 1}, {0.679757, 1, 2.1, 2},
          {-0.652431, 1, 4.3, 2},  {0.0553849, 4, 0.25, 2}, {-0.071097, 4, 7.0, 2},  {-0.000875332, 9, 4.7, 2},
          {0.020076, 2, 13, 3},    {-0.0139761, 2, 16, 3},  {-0.018511, 4, 25, 3},   {0.0171939, 5, 17, 3},
          {-0.00482049, 6, 7.4, 2}},
         {}},
        {"R-717",
         "Tillner-Roth, Harms-Watzenberg and Baehr (1993): older than the equation of the table",
         405.4,
         13.211777154312385,
         17.03026,
         8.314471,
         0.001,
         {{-1.858814, 1, 1.5, 0},   {0.04554431, 2, -0.5, 0}, {0.7238548, 1, 0.5, 0},    {0.0122947, 4, 1, 0},
          {2.141882e-11, 15, 3, 0}, {-0.0143002, 3, 0, 1},    {0.3441324, 3, 3, 1},      {-0.2873571, 1, 4, 1},
          {2.352589e-05, 8, 4, 1},  {-0.03497111, 2, 5, 1},   {0.001831117, 8, 5, 2},    {0.02397852, 1, 3, 2},
          {-0.04085375, 1, 6, 2},   {0.2379275, 2, 8, 2},     {-0.03548972, 3, 8, 2},    {-0.1823729, 2, 10, 2},
          {0.02281556, 4, 10, 2},   {-0.006663444, 3, 5, 3},  {-0.008847486, 1, 7.5, 3}, {0.002272635, 2, 15, 3},
          {-0.0005588655, 4, 30, 3}},
         {}},
    };
    return all;
}

}  // namespace tarebook::tests
