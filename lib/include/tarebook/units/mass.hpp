// Exact mass. One count is 1.25 ng, so that 0.001 lb, 0.01 oz and 0.1 g are all whole counts and books that mix
// pounds, ounces and grams balance to zero (invariant I1).
//
//     Mass net = parse_weight("12 lb 8 oz", {}).value().mass;   // 12.5 lb, exactly
//
// Overflow is an error, never a wrap: arithmetic throws Refused (too-large).
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// What a scale shows on its display: the unit of a bare number that was read from it.
enum class ScaleReads { unknown, lb, lb_oz, kg };

/// A mass as a whole number of counts of 1.25 ng; a loss is negative. Arithmetic and the functions that make a mass
/// from a number throw Refused (too-large) beyond about 25 million pounds.
class Mass {
 public:
    /// Counts in a unit of mass.
    static constexpr std::int64_t counts_per_gram = 800'000'000;
    static constexpr std::int64_t counts_per_pound = 362'873'896'000;  // 453.59237 g, exactly
    static constexpr std::int64_t counts_per_ounce = counts_per_pound / 16;
    static_assert(counts_per_pound % 1000 == 0, "0.001 lb is a whole count");
    static_assert(counts_per_ounce % 100 == 0, "0.01 oz is a whole count");
    static_assert(counts_per_gram % 10 == 0, "0.1 g is a whole count");

    constexpr Mass() = default;
    /// A mass of so many counts.
    static constexpr Mass from_count(std::int64_t count) { return Mass(count); }
    /// Kilograms, rounded to the nearest count: for computed amounts (limits, estimates). Typed weights are parsed
    /// exactly.
    static Mass from_kilograms(double kilograms);
    /// Pounds of 453.59237 g, or thousandths of one: exact.
    static Mass pounds(std::int64_t pounds);
    static Mass thousandths_of_a_pound(std::int64_t thousandths);

    /// The number of counts: exact.
    [[nodiscard]] constexpr std::int64_t count() const { return count_; }
    /// Pounds, kilograms: as near as a double comes.
    [[nodiscard]] double in_pounds() const;
    [[nodiscard]] double in_kilograms() const;
    /// Whether it is zero; whether it is below zero.
    [[nodiscard]] constexpr bool is_zero() const { return count_ == 0; }
    [[nodiscard]] constexpr bool is_negative() const { return count_ < 0; }
    /// Without its sign.
    [[nodiscard]] Mass magnitude() const;

    friend constexpr auto operator<=>(Mass, Mass) = default;
    /// Sum, difference, and the other sign.
    friend Mass operator+(Mass a, Mass b);
    friend Mass operator-(Mass a, Mass b);
    friend Mass operator-(Mass a);
    /// Adds, or takes away.
    Mass& operator+=(Mass b) { return *this = *this + b; }
    Mass& operator-=(Mass b) { return *this = *this - b; }

    /// The largest multiple of `step` that is not above this one (towards minus infinity). Throws BrokenPromise
    /// where `step` is not positive.
    [[nodiscard]] Mass rounded_down_to(Mass step) const;

 private:
    constexpr explicit Mass(std::int64_t count) : count_(count) {}
    std::int64_t count_ = 0;
};

/// mass x numerator / denominator, rounded towards zero; the product is formed in 128 bits. Throws Refused (too-large).
/// Precondition: `denominator` is not zero.
Mass scaled(Mass mass, std::int64_t numerator, std::int64_t denominator);

/// A sum of masses in 128 bits, for sums that a Mass would not hold: a million movements fill half of 64 bits.
class MassTotal {
 public:
    /// Adds, or takes away. Does not overflow.
    MassTotal& operator+=(Mass mass) {
        sum_ += mass.count();
        return *this;
    }
    MassTotal& operator-=(Mass mass) {
        sum_ -= mass.count();
        return *this;
    }
    /// Whether the sum is zero.
    [[nodiscard]] bool is_zero() const { return sum_ == 0; }
    /// The sum. Throws Refused (too-large) where it does not fit a Mass.
    [[nodiscard]] Mass value() const;
    friend bool operator==(const MassTotal&, const MassTotal&) = default;

 private:
    __extension__ using Wide = __int128;
    Wide sum_ = 0;
};

/// A mass as a person typed it, or as a scale sent it: the exact value, and the words to print back.
struct Weight {
    Mass mass;
    std::string typed;
    bool from_scale = false;  ///< the program read it from the scale's port; else a person typed it
    friend bool operator==(const Weight&, const Weight&) = default;
};

/// Takes `12.5lb`, `12 lb 8 oz`, `12lb 8.4oz`, `200oz`, `5.67kg`, `850g`, `12.5#`, `12.5 pounds`. A bare number takes
/// the unit of `reads` and is refused where that is lb-oz or unknown: "12.8" is never 12 lb 8 oz. Errors (all
/// ErrorKind::usage): weight-empty, weight-no-unit, weight-sign, weight-comma, weight-exponent, weight-number,
/// weight-unit, weight-ounces, weight-trailing, weight-step, weight-range.
Result<Weight> parse_weight(std::string_view text, ScaleReads reads);

/// Decimal pounds or kilograms, without the unit: as many digits as the mass needs, at least `decimals`, at most six,
/// rounded to the nearest there: "33.05".
std::string pounds_text(Mass mass, int decimals = 2);
std::string kilograms_text(Mass mass, int decimals = 2);

/// The unit in which pages write a mass.
enum class DisplayUnits { lb, kg };
/// "lb" or "kg".
std::string_view text_of(DisplayUnits units);
/// How many decimals a page gives it: three where a scale gave thousandths of this unit, and nothing else is as exact;
/// two of what is computed, or was weighed in another unit.
int decimals_of(Mass mass, DisplayUnits units);
/// Without the unit, rounded to two or three decimals: "33.05".
std::string mass_number(Mass mass, DisplayUnits units, int decimals);
/// What pages print, by these two: "33.05 lb" or "14.985 kg".
std::string mass_text(Mass mass, DisplayUnits units);
/// What findings say, whose words are kept: rounded to 0.001 of the unit, with two decimals at least.
std::string mass_text_to_thousandth(Mass mass, DisplayUnits units);

}  // namespace tarebook
