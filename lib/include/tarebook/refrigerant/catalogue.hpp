// The refrigerants that are known: those that are compiled in, and perhaps those of a person's own file. A value:
// copies are cheap and share what was read, and two catalogues in one program have nothing to do with each other.
//
//     const Catalogue compiled;
//     const Refrigerant* gas = compiled.find("r448a");
//     auto with_file = Catalogue::with_own("own-refrigerants.yaml");       // both
//
// The own file is YAML, read as strictly as the build reads schema/, and checked for figures that a table of a real gas
// never has; every fault is told with file, line and key. The figures themselves are believed.
// fixtures/own-refrigerants.yaml shows the form:
//
//     source: "data sheet of the maker, 2025"
//     edition: "rev. 3"
//     date: "2026-05-01"
//     refrigerants:
//       R-9001A:                 # a name that the compiled ones do not have
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

#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook {

/// Finds refrigerants by name. A compiled Refrigerant is good as long as the program runs, one of a file as long as the
/// catalogue or a copy of it.
class Catalogue {
 public:
    /// The compiled ones alone.
    Catalogue() = default;
    /// The compiled ones, and those of a file, all or none. Error (usage): refrigerants-file.
    static Result<Catalogue> with_own(const std::string& file);

    /// The compiled ones, in the order of schema/refrigerants.yaml.
    static std::span<const Refrigerant> compiled();
    /// Those of the file, in its order; empty without one.
    [[nodiscard]] std::span<const Refrigerant> own() const;

    /// Takes a designation as people type it: `R-448A`, `r448a`, `448A`, "R 448a", `HFC-134a`, `1234ze(E)`, `1234zee`;
    /// or the name of the substance: propane, ammonia, CO2. Null where there is no such refrigerant, or where it could
    /// be two.
    [[nodiscard]] const Refrigerant* find(std::string_view as_typed) const;
    /// As find, with the nearest ones in the error; never null. Errors (usage): refrigerant-unknown, refrigerant-empty.
    [[nodiscard]] Result<const Refrigerant*> parse(std::string_view as_typed) const;
    /// The nearest designations, for "did you mean", at most `most` of them; empty where none is near.
    [[nodiscard]] std::vector<std::string> like(std::string_view as_typed, std::size_t most = 3) const;

 private:
    struct Own;
    explicit Catalogue(std::shared_ptr<const Own> own) : own_(std::move(own)) {}
    template <class Visit>
    void each(Visit visit) const;
    std::shared_ptr<const Own> own_;  // null: none
};

}  // namespace tarebook
