// Which cylinders of the book may take a gas: those that hold it already, of the same owner, and those that are empty;
// and apart from them, with the reason, those of the kind that must not be filled now.
#pragma once

#include "fill.hpp"

namespace tarebook::report {

struct WantedGas {
    const Refrigerant* gas = nullptr;
    std::optional<std::string> owner;  ///< of the gas that comes; without one, whose gas is in it is only shown
    std::optional<std::string> place;  ///< only cylinders there
    std::optional<std::string> job;    ///< what is kept for another job is not offered
    std::optional<Temperature> stored_at;
};

struct CandidateCylinder {
    std::string code, place;
    std::string holds;  ///< "empty", "6.00 lb of R-404A, of Harbor Foods, recovered"
    FillView fill;
    std::vector<std::string> read_collar;  ///< what is not on record of it
};

struct CandidateCylinders {
    std::vector<CandidateCylinder> takers;  ///< the most room first
    std::vector<std::string> barred;        ///< "RC-03 (out of test since 2024-04)"
};

CandidateCylinders candidate_cylinders(const Book& book, const WantedGas& wanted, DisplayUnits units, Instant now);

}  // namespace tarebook::report
