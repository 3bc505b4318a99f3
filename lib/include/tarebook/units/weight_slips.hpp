// What else a typed weight may have been meant to be: slips of the hand, each with the weight that was meant. Whoever
// asks holds them against what was expected; a weight is never suspected for itself.
#pragma once

#include <string>
#include <vector>

#include "tarebook/units/mass.hpp"

namespace tarebook {

enum class Slip {
    digits_swapped,  ///< neighbouring digits, a decimal point between them or not
    kg_as_lb,        ///< kilograms were typed as pounds
    lb_as_kg,
    ounces_as_tenths,  ///< 12 lb 8 oz typed as 12.8 lb
    tenths_as_ounces,  ///< 12.8 lb typed as 12 lb 8 oz
};
/// "digits swapped?"
std::string_view text_of(Slip slip);

struct MeantWeight {
    Slip slip;
    Mass mass;
};
/// `reads`: what the scale shows, where that is known; it tells what a bare number was taken for.
std::vector<MeantWeight> weights_that_may_be_meant(const Weight& typed, ScaleReads reads);

}  // namespace tarebook
