// A slow leak rate that shares nothing with the library but its types: one pound at a time, one day at a time, in
// doubles.
#pragma once

#include <optional>
#include <vector>

#include "tarebook/rules/leak_rate.hpp"

namespace tarebook::property {

struct PlainMovement {
    int day;
    int job;     ///< 0: none
    int pounds;  ///< put in; negative where taken out
    Reason reason;
    int leak;  ///< 0: none
};
struct PlainRate {
    int day;
    double percent;
};

/// The rates of all days on which something counts, in order.
std::vector<PlainRate> plain_rates(const std::vector<PlainMovement>& movements, Date day_zero, int full_charge,
                                   LeakRateMethod method, const std::vector<int>& repaired_days);

}  // namespace tarebook::property
