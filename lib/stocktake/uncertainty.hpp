// The uncertainty of a difference of two weighings. Inside this room masses are doubles in pounds, and their names say
// so: a fit needs squares and quotients.
#pragma once

#include "tarebook/stocktake/stocktake_judge.hpp"

namespace tarebook::stocktake {

struct Uncertainty {
    double standard_lb = 0;  ///< of the difference
    double shared_lb = 0;    ///< the part of it that all readings of the stocktake's scale share
    /// The largest difference that scales within their tolerance can make, all with the same sign.
    double explained_lb = 0;
    double other_scale_lb = 0;  ///< how far the earlier weighing's scale may be off
};

Mass division_of(const StocktakeWeighing& weighing);
/// How far the weighing's scale may be off at its load.
double tolerance_lb(const StocktakeWeighing& weighing);
Uncertainty uncertainty_of(const StocktakeWeighing& reading, const StocktakeExpectation& expected);

}  // namespace tarebook::stocktake
