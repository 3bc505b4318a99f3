// The sources of the saturation tables (schema/saturation/provenance.yaml), read while building.
#pragma once

#include <string>

#include "catalogue_source.hpp"

namespace tarebook::catalogue {

/// Fills source.method and source.provenance. Precondition: the tables were read. Throws BadSource if a component of a
/// table has no equation, or a pair of components neither published nor estimated parameters.
void read_provenance(const std::string& file, Source& source);

}  // namespace tarebook::catalogue
