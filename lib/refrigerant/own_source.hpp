// A person's own refrigerants as their file has them, after every check.
#pragma once

#include <string>
#include <vector>

#include "catalogue_source.hpp"

namespace tarebook::catalogue {

struct OwnSource {
    SourceRefrigerant refrigerant;
    double critical_c, p_uncertainty_pct, rho_uncertainty_pct;
    std::vector<SourceRow> rows;
};
struct OwnFile {
    std::string source, edition, date;
    std::vector<OwnSource> refrigerants;
};

/// Throws BadSource with file, line and key at the first error.
OwnFile read_own_refrigerants(const std::string& file);

}  // namespace tarebook::catalogue
