// Cylinders of the book that may take a gas: those with the same gas of the same owner, and empty ones. Others of the
// kind, which must not be filled now, are listed with the reason.
#pragma once

#include "fill.hpp"

namespace tarebook::report {

struct WantedGas {
    const Refrigerant* gas = nullptr;
    std::optional<std::string> owner;  ///< of the gas that comes in; without one, owners are shown and not compared
    std::optional<std::string> place;  ///< only cylinders there
    std::optional<std::string> job;    ///< a cylinder that is kept for another job is not offered
    std::optional<Temperature> stored_at;
};

struct CandidateCylinder {
    std::string code, place;
    std::string holds;  ///< "empty", "6.00 lb of R-404A, of Harbor Foods, recovered"
    FillView fill;
    std::vector<std::string> read_collar;  ///< the marks that are not on record
};

struct CandidateCylinders {
    std::vector<CandidateCylinder> takers;  ///< the most room first
    std::vector<std::string> barred;        ///< "RC-03 (out of test since 2024-04)"
};

CandidateCylinders candidate_cylinders(const Book& book, const WantedGas& wanted, DisplayUnits units, Instant now);

}  // namespace tarebook::report
