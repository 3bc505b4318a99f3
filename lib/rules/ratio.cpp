#include "tarebook/units/ratio.hpp"
#include "tarebook/units/refused.hpp"
#include "units/must_hold.hpp"

#include <fmt/format.h>

#include <charconv>
#include <limits>

namespace tarebook {
namespace {

__extension__ using Wide = unsigned __int128;

Wide common(Wide a, Wide b) {
    while (b != 0) {
        const Wide rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}
Wide product(Wide a, Wide b) {
    if (b != 0 && a > ~Wide(0) / b) refuse_too_large("a ratio does not fit 128 bits");
    return a * b;
}
bool all_digits(std::string_view text) {
    return !text.empty() && text.find_first_not_of("0123456789") == std::string_view::npos;
}

}  // namespace

std::optional<Percent> Percent::parse(std::string_view text) {
    const auto point = text.find('.');
    const auto whole_digits = text.substr(0, point);
    std::string decimals = point == std::string_view::npos ? "" : std::string(text.substr(point + 1));
    if (!all_digits(whole_digits) || whole_digits.size() > 9 || decimals.size() > 3) return std::nullopt;
    if (point != std::string_view::npos && !all_digits(decimals)) return std::nullopt;
    decimals.resize(3, '0');
    std::int64_t value = 0;
    const auto digits = std::string(whole_digits) + decimals;
    std::from_chars(digits.data(), digits.data() + digits.size(), value);
    return thousandths(value);
}

std::string Percent::text() const {
    auto out = fmt::format("{}.{:03}", thousandths_ / 1000, thousandths_ % 1000);
    out.erase(out.find_last_not_of('0') + 1);
    if (out.back() == '.') out.pop_back();
    return out;
}

Ratio::Ratio(Wide numerator, Wide denominator) {
    const Wide shared = common(numerator, denominator);
    numerator_ = numerator / shared;
    denominator_ = denominator / shared;
}
Ratio Ratio::of(Mass part, Mass whole) {
    must_hold(!part.is_negative() && Mass() < whole, "a ratio has a part and a positive whole");
    return {static_cast<Wide>(part.count()), static_cast<Wide>(whole.count())};
}
Ratio Ratio::of(Percent percent) {
    return {static_cast<Wide>(percent.in_thousandths()), 100'000};
}
Ratio Ratio::scaled(std::int64_t numerator, std::int64_t denominator) const {
    must_hold(numerator > 0 && denominator > 0, "a ratio is scaled by positive numbers");
    const Ratio by(static_cast<Wide>(numerator), static_cast<Wide>(denominator));
    // Reduced crosswise first, so that the product overflows only if the result does.
    const Ratio left(numerator_, by.denominator_);
    const Ratio right(by.numerator_, denominator_);
    return {product(left.numerator_, right.numerator_), product(left.denominator_, right.denominator_)};
}
Mass Ratio::part_of(Mass whole) const {
    const Wide count = product(static_cast<Wide>(whole.count()), numerator_) / denominator_;
    if (count > static_cast<Wide>(std::numeric_limits<std::int64_t>::max()))
        refuse_too_large("a share does not fit a mass");
    return Mass::from_count(static_cast<std::int64_t>(count));
}
bool Ratio::divides(Mass whole) const {
    return product(static_cast<Wide>(whole.count()), numerator_) % denominator_ == 0;
}
double Ratio::in_percent() const {
    return static_cast<double>(numerator_) / static_cast<double>(denominator_) * 100.0;
}

// Compares whole parts first, then the inverted remainders: exact, and without a product that could overflow.
std::strong_ordering operator<=>(const Ratio& left, const Ratio& right) {
    Wide a = left.numerator_, b = left.denominator_, c = right.numerator_, d = right.denominator_;
    bool turned = false;
    for (;;) {
        const Wide whole_left = a / b;
        const Wide whole_right = c / d;
        const auto order = [&](bool less) {
            return less != turned ? std::strong_ordering::less : std::strong_ordering::greater;
        };
        if (whole_left != whole_right) return order(whole_left < whole_right);
        const Wide rest_left = a % b;
        const Wide rest_right = c % d;
        if (rest_left == 0 && rest_right == 0) return std::strong_ordering::equal;
        if (rest_left == 0 || rest_right == 0) return order(rest_left == 0);
        a = b, b = rest_left, c = d, d = rest_right;
        turned = !turned;
    }
}

bool reaches(const Ratio& value, Comparison comparison, Percent limit) {
    const auto order = value <=> Ratio::of(limit);
    return order > 0 || (order == 0 && comparison == Comparison::at_least);
}

std::string percent_text(const Ratio& value, std::optional<Percent> limit) {
    for (int decimals = 1;; ++decimals) {
        auto text = fmt::format("{:.{}f}", value.in_percent(), decimals);
        if (!limit || decimals >= 9 || value == Ratio::of(*limit)) return text + " %";
        const double shown = std::stod(text) * 1000;
        const auto edge = static_cast<double>(limit->in_thousandths());
        if (value > Ratio::of(*limit) ? shown > edge : shown < edge) return text + " %";
    }
}

}  // namespace tarebook
