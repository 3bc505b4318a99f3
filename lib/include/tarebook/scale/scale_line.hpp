// What one line of a scale says. The usual line is: stable or moving, gross or net, sign, number, unit. A scale that
// writes otherwise has a pattern of its own, a regular expression with groups.
//
//     LineShape shape;
//     auto line = shape.read("ST,GS,+0031.20lb");    // stable, gross, 31.20 lb
//     auto other = LineShape::of_pattern("W:(?<number>[0-9.]+) (?<unit>lb|kg)");
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// A longer line is no line of a scale.
inline constexpr std::size_t longest_scale_line = 100;

/// A line that was understood.
struct ScaleLine {
    std::optional<bool> stable;  ///< what the line itself says; nothing where it has no mark
    std::optional<bool> net;     ///< net or gross by its mark; nothing where it has none
    bool over = false;           ///< above or below the range of the scale; then there is no number
    bool minus = false;          ///< the number is below zero
    std::string number;          ///< as shown, without blanks and leading zeros: "31.20"
    std::string ounces;          ///< the second number of pounds and ounces; else empty
    std::string unit;            ///< lb, kg, g, oz or lb-oz; empty where the line has none; any other word as it stands
    friend bool operator==(const ScaleLine&, const ScaleLine&) = default;
};

/// How the lines of a scale are read: as the usual ones, or by a pattern. Copies share what was compiled.
class LineShape {
 public:
    /// The usual shape.
    LineShape();
    /// A regular expression that the whole line has to match, without the blanks around it. The groups `number`,
    /// `unit`, `sign`, `stable`, `moving`, `gross`, `net` and `over` say what they say: `(?<number>...)`. Without names
    /// the first group is the number and a second one the unit. Error (usage): scale-pattern, where it cannot be read,
    /// has no number, or could take long.
    static Result<LineShape> of_pattern(std::string_view pattern);
    /// What the line says; nothing where it has another shape, or is longer than the longest.
    [[nodiscard]] std::optional<ScaleLine> read(std::string_view line) const;

 private:
    class Pattern;
    std::shared_ptr<const Pattern> pattern_;
};

/// What a line was understood as, in words: "31.20 lb, gross, stands still".
std::string text_of(const ScaleLine& line);

}  // namespace tarebook
