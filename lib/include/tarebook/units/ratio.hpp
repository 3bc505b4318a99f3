// Shares that a limit is compared with: exact, so that "20.0 % is not over 20 %" does not hang on the last bit.
//
//     Ratio rate = Ratio::of(added, full_charge).scaled(365, days);
//     bool over = rate > Ratio::of(Percent::whole(20));
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/units/mass.hpp"

namespace tarebook {

/// A limit as a regulation prints it, in whole thousandths of a per cent.
class Percent {
 public:
    /// Whole per cents, or thousandths of one.
    static constexpr Percent whole(std::int64_t percent) { return Percent(percent * 1000); }
    static constexpr Percent thousandths(std::int64_t count) { return Percent(count); }
    /// Takes "20", "12.5", below 10^9. Nothing for a sign, more than three decimals, or anything trailing.
    static std::optional<Percent> parse(std::string_view text);
    /// Thousandths of a per cent.
    [[nodiscard]] constexpr std::int64_t in_thousandths() const { return thousandths_; }
    [[nodiscard]] std::string text() const;  ///< without trailing zeros: "12.5"
    friend constexpr auto operator<=>(Percent, Percent) = default;

 private:
    constexpr explicit Percent(std::int64_t thousandths) : thousandths_(thousandths) {}
    std::int64_t thousandths_;
};

/// A fraction that is not negative. Products are formed in 128 bits and never rounded.
class Ratio {
 public:
    Ratio() = default;
    /// part / whole. Throws BrokenPromise unless `whole` is positive and `part` is not negative.
    static Ratio of(Mass part, Mass whole);
    /// 20 % is 1/5. Precondition: `percent` is not negative.
    static Ratio of(Percent percent);
    /// This times numerator / denominator. Throws BrokenPromise unless both are positive, Refused (too-large) where
    /// 128 bits do not hold the result.
    [[nodiscard]] Ratio scaled(std::int64_t numerator, std::int64_t denominator) const;
    /// The largest mass that is at most this share of `whole`. Precondition: `whole` is not negative. Throws
    /// Refused (too-large) where it does not fit a Mass.
    [[nodiscard]] Mass part_of(Mass whole) const;
    /// Whether part_of(whole) is exactly this share. Precondition: `whole` is not negative.
    [[nodiscard]] bool divides(Mass whole) const;
    /// Per cent, as near as a double comes: for display, not for comparing.
    [[nodiscard]] double in_percent() const;

    /// Exact.
    friend std::strong_ordering operator<=>(const Ratio& a, const Ratio& b);
    /// Exact.
    friend bool operator==(const Ratio& a, const Ratio& b) { return (a <=> b) == std::strong_ordering::equal; }

 private:
    __extension__ using Wide = unsigned __int128;
    Ratio(Wide numerator, Wide denominator);
    Wide numerator_ = 0;
    Wide denominator_ = 1;
};

/// How a rule compares with its limit: `>` or `>=`.
enum class Comparison { over, at_least };
/// Whether the value is over the limit, or at least as large, as `comparison` has it. Exact.
bool reaches(const Ratio& value, Comparison comparison, Percent limit);

/// "30.4 %", rounded to a tenth; with more digits where a tenth would show the value on the other side of `limit`.
std::string percent_text(const Ratio& value, std::optional<Percent> limit = std::nullopt);

}  // namespace tarebook
