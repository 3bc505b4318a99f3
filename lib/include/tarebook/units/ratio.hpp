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
    static constexpr Percent whole(std::int64_t percent) { return Percent(percent * 1000); }
    static constexpr Percent thousandths(std::int64_t count) { return Percent(count); }
    /// Takes "20", "12.5"; nothing for a sign, more than three decimals, or anything trailing.
    static std::optional<Percent> parse(std::string_view text);
    [[nodiscard]] constexpr std::int64_t in_thousandths() const { return thousandths_; }
    [[nodiscard]] std::string text() const;  ///< "12.5"
    friend constexpr auto operator<=>(Percent, Percent) = default;

 private:
    constexpr explicit Percent(std::int64_t thousandths) : thousandths_(thousandths) {}
    std::int64_t thousandths_;
};

/// A fraction that is not negative. Products are formed in 128 bits and never rounded.
class Ratio {
 public:
    Ratio() = default;
    /// `whole` must be positive and `part` not negative: std::domain_error else.
    static Ratio of(Mass part, Mass whole);
    static Ratio of(Percent percent);
    /// Both positive; throws std::overflow_error where 128 bits do not hold the product.
    [[nodiscard]] Ratio scaled(std::int64_t numerator, std::int64_t denominator) const;
    /// The largest mass that is at most this share of `whole`.
    [[nodiscard]] Mass part_of(Mass whole) const;
    /// Whether part_of leaves nothing over.
    [[nodiscard]] bool divides(Mass whole) const;
    [[nodiscard]] double in_percent() const;

    friend std::strong_ordering operator<=>(const Ratio& a, const Ratio& b);
    friend bool operator==(const Ratio& a, const Ratio& b) { return (a <=> b) == std::strong_ordering::equal; }

 private:
    __extension__ using Wide = unsigned __int128;
    Ratio(Wide numerator, Wide denominator);
    Wide numerator_ = 0;
    Wide denominator_ = 1;
};

/// How a rule compares: `>` or `>=`.
enum class Comparison { over, at_least };
bool reaches(const Ratio& value, Comparison comparison, Percent limit);

/// "30.4 %", rounded to a tenth; with more digits where a tenth would show the value on the other side of `limit`.
std::string percent_text(const Ratio& value, std::optional<Percent> limit = std::nullopt);

}  // namespace tarebook
