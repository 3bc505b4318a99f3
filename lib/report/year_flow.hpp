// The year's flow of each gas: what came into cylinders and what left them, what went into equipment and came out of it
// again, as figures; flow_picture.cpp draws them.
#pragma once

#include <string>
#include <vector>

#include "picture.hpp"
#include "tarebook/year/year.hpp"

namespace tarebook::report {

/// What flowed, always more than nothing: a negative figure of the balance is a flow the other way.
struct FlowBand {
    enum class Kind { moved, kept, lost } kind = Kind::moved;
    std::string words;  ///< "from suppliers"
    Mass mass;
};
/// A place that gas flows through: all that came in equals all that went out or stayed, exactly.
struct FlowNode {
    std::vector<FlowBand> in, out;
    /// Between cylinders and equipment, apart from the others; zero where nothing went that way.
    Mass joint_in, joint_out;
    [[nodiscard]] Mass through() const;  ///< the sum of either side
};
struct GasFlow {
    std::string refrigerant;
    FlowNode cylinders, equipment;
    /// Of what went into equipment: new or reclaimed gas, and recovered gas put back.
    Mass charged, reused;
    /// Whether what one of the two gave is what the other got: not so where only an owner's part is shown.
    [[nodiscard]] bool is_joined_into() const { return cylinders.joint_out == equipment.joint_in; }
    [[nodiscard]] bool is_joined_back() const { return cylinders.joint_in == equipment.joint_out; }
};

/// Of each gas that moved, all the balance's owners and sites together.
std::vector<GasFlow> gas_flows(const YearBalance& balance);

/// Bands as wide as their mass, with the mass written at each.
Picture flow_picture(const GasFlow& flow, DisplayUnits units);

}  // namespace tarebook::report
