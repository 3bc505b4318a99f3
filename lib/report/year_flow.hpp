// The year's flow of each gas in figures: into cylinders and out of them, into equipment and out of it;
// flow_picture.cpp draws them.
#pragma once

#include <string>
#include <vector>

#include "picture.hpp"
#include "tarebook/year/year.hpp"

namespace tarebook::report {

/// One flow. Precondition: its mass is above zero, since a negative figure of the balance is a flow the other way.
struct FlowBand {
    enum class Kind { moved, kept, lost } kind = Kind::moved;
    std::string words;  ///< "from suppliers"
    Mass mass;
};
/// A place that gas flows through: what came in equals what went out or stayed, exactly.
struct FlowNode {
    std::vector<FlowBand> in, out;
    /// Between cylinders and equipment; zero if nothing went that way.
    Mass joint_in, joint_out;
    [[nodiscard]] Mass through() const;  ///< the sum of either side
};
struct GasFlow {
    std::string refrigerant;
    FlowNode cylinders, equipment;
    /// Of what went into equipment: new or reclaimed gas, and recovered gas put back.
    Mass charged, reused;
    /// Whether the mass out of the one is the mass into the other: not if only an owner's part is shown.
    [[nodiscard]] bool is_joined_into() const { return cylinders.joint_out == equipment.joint_in; }
    [[nodiscard]] bool is_joined_back() const { return cylinders.joint_in == equipment.joint_out; }
};

/// For each gas that moved, with all owners and sites of the balance.
std::vector<GasFlow> gas_flows(const YearBalance& balance);

/// Bands as wide as their mass, each with its mass in words.
Picture flow_picture(const GasFlow& flow, DisplayUnits units);

}  // namespace tarebook::report
