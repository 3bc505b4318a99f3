// What an isolated circuit is made of, as people type it, and the refrigerant that would be in it. Pure arithmetic: a
// sanity range beside the scale, never an amount to record.
//
//     auto piping = parse_piping("liquid 5/8 hard 120ft\nsuction 1-3/8 hard 120ft", "coil 0.42ft3 30% liquid").value();
//     auto expected = expected_charge(gas, piping, conditions);      // liquid and vapour apart, part by part
//     auto left = vapor_left(gas, piping, vacuum, Temperature::fahrenheit(75));
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/refrigerant/tube.hpp"

namespace tarebook {

/// What runs in a pipe.
enum class PipeRole { liquid, suction, hot_gas };
/// As typed: "hot-gas".
std::string_view text_of(PipeRole role);

/// A length of tube.
struct Pipe {
    PipeRole role;
    const TubeSize* size;
    Length length;
    /// What it holds inside.
    [[nodiscard]] Volume volume() const { return size->holds(length); }
};
/// A coil, an accumulator, a receiver: its inside volume, and how much of that is liquid while the circuit works.
struct Vessel {
    std::string name;
    Volume volume;
    double liquid_percent;  ///< of the volume, while the circuit works
};
/// All pipes and vessels of a circuit.
struct Piping {
    std::vector<Pipe> pipes;
    std::vector<Vessel> vessels;
    /// Whether there is no part.
    [[nodiscard]] bool empty() const { return pipes.empty() && vessels.empty(); }
    /// All parts together.
    [[nodiscard]] Volume volume() const;
};

/// Takes `liquid 5/8 hard 120ft`, `suction 1-3/8 soft 36m`, `hot-gas 7/8 hard 80ft`: what runs in it, size, wall,
/// length up to 5000 ft. Errors (usage): pipe-words, pipe-role, pipe-wall, tube-size, length-unit, length-range.
Result<Pipe> parse_pipe(std::string_view typed);
/// Takes `coil 0.42ft3 30% liquid`, `accumulator 9L 0% liquid`, `725in3`, up to 100 m3. Errors (usage): vessel-words,
/// volume-unit, volume-range, vessel-share.
Result<Vessel> parse_vessel(std::string_view typed);
/// Takes lines of parse_pipe and of parse_vessel; empty lines are passed over. The first line that is refused is the
/// error.
Result<Piping> parse_piping(std::string_view pipes, std::string_view vessels);

/// The temperatures and pressures at which a circuit stands.
struct CircuitConditions {
    /// Liquid lines are full at this temperature, hot gas is saturated at it, and vessels hold their share of liquid.
    /// Absent: pumped down to one pressure, vapour alone.
    std::optional<Temperature> liquid;
    std::optional<AbsolutePressure> vapor_pressure;  ///< of the suction side; where absent, its vapour is not known
    Temperature vapor = Temperature::celsius(0);     ///< of the vapour on the suction side
    DisplayUnits units = DisplayUnits::lb;  ///< of the lengths and volumes in words: feet, or metres and litres
};

/// One pipe or vessel.
struct ChargePart {
    std::string words;  ///< "liquid 5/8 hard, 120 ft"
    Volume volume;
    Mass liquid;
    std::optional<Mass> vapor;  ///< absent where the pressure is not known
};
/// The refrigerant in a circuit, part by part.
struct ExpectedCharge {
    std::vector<ChargePart> parts;
    Mass liquid, vapor;          ///< sums of what is known
    bool vapor_unknown = false;  ///< of at least one part
    /// Liquid and vapour, as far as they are known.
    [[nodiscard]] Mass total() const { return liquid + vapor; }
};
/// What the piping holds under these conditions. Errors (refused): those of no_vapor and outside_table.
Result<ExpectedCharge> expected_charge(const Refrigerant& gas, const Piping& piping,
                                       const CircuitConditions& conditions);

/// Vapour that stays in the whole piping at this pressure; liquid in a trap or in oil is not counted. Errors (refused):
/// those of no_vapor.
Result<Mass> vapor_left(const Refrigerant& gas, const Piping& piping, AbsolutePressure pressure, Temperature at);

}  // namespace tarebook
