// Copper tube for refrigerant lines: sizes of ASTM B280, and what a length of it holds.
//
//     auto size = parse_tube_size("1-3/8", TubeWall::hard).value();
//     auto volume = size->holds(Length::feet(120));
//
// Compiled in from schema/acr-tube.csv, which names its source row by row.
#pragma once

#include <compare>
#include <span>
#include <string_view>

#include "tarebook/units/error.hpp"
#include "tarebook/units/quantity.hpp"

namespace tarebook {

/// A length of tube.
class Length {
 public:
    /// Metres, feet of 0.3048 m, inches of 25.4 mm.
    static constexpr Length metres(double v) { return Length(v); }
    static constexpr Length feet(double v) { return Length(v * 0.3048); }
    static constexpr Length inches(double v) { return Length(v * 0.0254); }
    /// Metres, feet, inches.
    [[nodiscard]] constexpr double in_metres() const { return metres_; }
    [[nodiscard]] constexpr double in_feet() const { return metres_ / 0.3048; }
    [[nodiscard]] constexpr double in_inches() const { return metres_ / 0.0254; }
    friend constexpr auto operator<=>(Length, Length) = default;

 private:
    constexpr explicit Length(double metres) : metres_(metres) {}
    double metres_;
};

/// Straight lengths are drawn hard, coils are annealed soft; the same size has another wall.
enum class TubeWall { hard, soft };
/// As typed: "hard".
std::string_view text_of(TubeWall wall);

/// One row of the table of sizes.
struct TubeSize {
    std::string_view name;  ///< outside diameter as the trade says it: "1 3/8"
    TubeWall kind;
    Length outside, wall, inside;
    std::string_view source;  ///< of this row
    /// The inside volume of such a length.
    [[nodiscard]] Volume holds(Length length) const;
};

/// Takes an outside diameter in inches: `5/8`, `1-3/8`, `1 3/8`, with or without `in`. The pointer is never null, and
/// good as long as the program runs. Error (usage): tube-size, with the nearest sizes.
Result<const TubeSize*> parse_tube_size(std::string_view typed, TubeWall wall);

}  // namespace tarebook
