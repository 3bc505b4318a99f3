// A person's own refrigerants, from a YAML file: those that the catalogue lacks. Read as strictly as the build reads
// schema/, and checked for figures that a table of a real gas never has; every fault is told with file, line and key.
// The figures themselves are believed. fixtures/own-refrigerants.yaml shows the form:
//
//     source: "data sheet of the maker, 2025"
//     edition: "rev. 3"
//     date: "2026-05-01"
//     refrigerants:
//       R-9001A:                 # a name that the catalogue does not know
//         class: HFC blend       # one of the catalogue's; a pure one has composition {R-9001: 100}
//         composition: {R-32: 50, R-125: 50}
//         safety_group: A1
//         molar_mass_g_mol: 72.6
//         status: memory
//         verified: []
//         critical_c: 71.3       # for which the table was computed
//         p_uncertainty_pct: 2
//         rho_uncertainty_pct: 1
//         table:                 # C, kPa bubble, kPa dew (absolute), kg/m3 liquid, kg/m3 vapour; at most 10 K apart
//           - [-40, 175.497, 174.853, 1313.04, 6.98847]
//           - ...                # to 55 C at least; only a gas without liquid there ends 2.5 K below critical_c
#pragma once

#include <string>
#include <vector>

#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook {

/// Adds the file's refrigerants to what find_refrigerant finds, as long as the program runs, and returns them: all or
/// none. Precondition: no refrigerant was looked up before. Error (usage): refrigerants-file.
Result<std::vector<const Refrigerant*>> load_own_refrigerants(const std::string& file);

/// All that were loaded, in the order of loading.
std::vector<const Refrigerant*> loaded_own_refrigerants();

/// Whether it is from a person's own file, so that only the shape of its figures was checked.
bool is_own(const Refrigerant& refrigerant);

}  // namespace tarebook
