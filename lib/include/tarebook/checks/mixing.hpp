// What would make mixed gas of known gas: gas that is not known, gas that is mixed, or what a refrigerant identifier
// showed against the book.
#pragma once

#include <optional>
#include <set>
#include <string>

#include "tarebook/ledger/ledger.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

namespace tarebook {

/// What an identifier showed that the book does not have.
struct ShownOtherwise {
    std::string text;      ///< "a mixture; 3 % of air (...)"
    bool mixture = false;  ///< more than one gas, or none that the instrument could name
};
/// Compares with the gases that the book has there; an empty set means that it has none on record. Nothing where the
/// two agree.
std::optional<ShownOtherwise> shown_otherwise(const Catalogue& catalogue, const IdentifiedGas& shown,
                                              const std::set<std::string>& booked);
/// The same for a cylinder in this state: what the last identifier that looked at this gas showed.
std::optional<ShownOtherwise> shown_otherwise(const Catalogue& catalogue, const CylinderState& state);

/// What is in a cylinder: designations, gas_unknown, and gas_mixed where the book or an identifier says so.
std::set<std::string> gases_in(const Catalogue& catalogue, const CylinderState& state);
/// Whether known gas would become mixed gas, because one of the two sides is unknown or mixed. Two known gases that
/// differ are another matter.
bool becomes_mixed(const std::set<std::string>& held, const std::set<std::string>& arriving);
/// "R-404A and gas that is not known", "mixed gas"
std::string gases_text(const std::set<std::string>& gases);

}  // namespace tarebook
