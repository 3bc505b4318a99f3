// What a difference of two weighings may be off. Inside the room masses are doubles in pounds, and say so: a fit needs
// squares and quotients.
#pragma once

#include "tarebook/stocktake/stocktake_judge.hpp"

namespace tarebook::stocktake {

struct Uncertainty {
    double standard_lb = 0;     ///< of the difference
    double shared_lb = 0;       ///< the part of it that all readings of the counting scale share
    double explained_lb = 0;    ///< the most that scales within their tolerance make of it, all the same way
    double other_scale_lb = 0;  ///< what the earlier weighing's scale may be off
};

Mass division_of(const StocktakeWeighing& weighing);
/// What the weighing's scale may be off at its load.
double tolerance_lb(const StocktakeWeighing& weighing);
Uncertainty uncertainty_of(const StocktakeWeighing& reading, const StocktakeExpectation& expected);

}  // namespace tarebook::stocktake
