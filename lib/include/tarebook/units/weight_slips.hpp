// What a typed weight may have been meant to be: slips of the hand, each with the weight that was meant. The caller
// compares them with the weight it expected; a weight alone is no ground for suspicion.
#pragma once

#include <string>
#include <vector>

#include "tarebook/units/mass.hpp"

namespace tarebook {

/// A way in which a weight is typed wrong.
enum class Slip {
    digits_swapped,  ///< neighbouring digits, a decimal point between them or not
    kg_as_lb,        ///< kilograms were typed as pounds
    lb_as_kg,
    ounces_as_tenths,  ///< 12 lb 8 oz typed as 12.8 lb
    tenths_as_ounces,  ///< 12.8 lb typed as 12 lb 8 oz
};
/// As a question to a person: "digits swapped?"
std::string_view text_of(Slip slip);

/// A slip, and the mass that was meant if it was made.
struct MeantWeight {
    Slip slip;
    Mass mass;
};
/// Every slip that could have made this weight. `reads`: the unit of the scale's display; it tells for which unit a
/// bare number was taken.
std::vector<MeantWeight> weights_that_may_be_meant(const Weight& typed, ScaleReads reads);

}  // namespace tarebook
