// Finds scales that are off, from all differences together, before any cylinder is judged.
#pragma once

#include <string>
#include <vector>

#include "uncertainty.hpp"

namespace tarebook::stocktake {

/// One difference between scale and book.
struct Difference {
    double difference_lb = 0;
    Uncertainty uncertainty;
    std::string scale;   ///< of the weighing in the stocktake
    std::string before;  ///< of the weighing that the book relies on; empty where there is none
    double load_lb = 0;
    double before_load_lb = 0;  ///< of the earlier weighing
    // Filled by take_offsets_out:
    double rest_lb = 0;      ///< the difference without the offsets
    double standard_lb = 0;  ///< of the rest
};

/// Finds the offsets, clearest first, and fills what is left of each difference.
std::vector<ScaleOffset> take_offsets_out(std::vector<Difference>& differences, double false_alarms);

/// The quantile of a normal deviate that is exceeded, in either direction, with this probability.
double deviate_passed_with(double probability);
/// The inverse: the probability that a normal deviate exceeds this one, in either direction.
double probability_of_passing(double deviate);

}  // namespace tarebook::stocktake
