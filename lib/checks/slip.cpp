#include "slip.hpp"

#include <algorithm>

namespace tarebook::checks {
namespace {

bool is_digit(char ch) {
    return ch >= '0' && ch <= '9';
}

ScaleReads scale_reads(const Context& c) {
    if (!c.event.scale) return ScaleReads::unknown;
    const auto* scale = c.reg.find(EntryKind::scale, *c.event.scale);
    const auto reads = scale ? scale->text("reads", c.order) : std::nullopt;
    if (reads == "lb") return ScaleReads::lb;
    if (reads == "kg") return ScaleReads::kg;
    return ScaleReads::unknown;
}

// What a bare number was taken for: the one reading of it that gives the mass that was recorded.
ScaleReads typed_in(const Gap& gap, const Context& c) {
    for (const auto reads : {scale_reads(c), ScaleReads::lb, ScaleReads::kg}) {
        const auto weight = parse_weight(gap.read_typed, reads);
        if (weight && weight->mass == gap.read_gross) return reads;
    }
    return ScaleReads::unknown;
}

bool near_the_book(Mass mass, const Gap& gap) {
    return (mass - gap.expected_gross).magnitude() <= gap.tolerance;
}

// Neighbouring digits, a decimal point between them or not.
bool swapped_digits(const Gap& gap, ScaleReads reads) {
    std::vector<std::size_t> digits;
    for (std::size_t i = 0; i < gap.read_typed.size(); ++i)
        if (is_digit(gap.read_typed[i])) digits.push_back(i);
    for (std::size_t i = 1; i < digits.size(); ++i) {
        std::string swapped = gap.read_typed;
        std::swap(swapped[digits[i - 1]], swapped[digits[i]]);
        const auto weight = parse_weight(swapped, reads);
        if (weight && near_the_book(weight->mass, gap)) return true;
    }
    return false;
}

// The same number in the other unit.
std::string other_unit(const Gap& gap, ScaleReads reads) {
    const bool in_kg = gap.read_typed.find("kg") != std::string::npos || reads == ScaleReads::kg;
    const bool in_lb = !in_kg && gap.read_typed.find('g') == std::string::npos;
    const auto kilogram = Mass::counts_per_gram * 1000;
    if (in_lb && near_the_book(scaled(gap.read_gross, kilogram, Mass::counts_per_pound), gap)) return "kg typed as lb?";
    if (in_kg && near_the_book(scaled(gap.read_gross, Mass::counts_per_pound, kilogram), gap)) return "lb typed as kg?";
    return {};
}

}  // namespace

std::string slip_that_explains(const Gap& gap, const Context& c) {
    const auto reads = typed_in(gap, c);
    if (swapped_digits(gap, reads)) return "digits swapped?";
    return other_unit(gap, reads);
}

}  // namespace tarebook::checks
