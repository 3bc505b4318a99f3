#include <algorithm>

#include "tarebook/refrigerant/fill_limit.hpp"

namespace tarebook {

StopWeights stop_weights(Mass limit_net, Mass tare, Mass gross_now, Mass division) {
    StopWeights w;
    w.limit_gross = limit_net + tare;
    w.stop_gross = w.limit_gross.rounded_down_to(division);
    const Mass early = std::max(scaled(limit_net, 3, 100), Mass::pounds(1));
    w.slow_gross = (w.stop_gross - early).rounded_down_to(division);
    w.room = w.stop_gross - gross_now;
    return w;
}

}  // namespace tarebook
