#include "tarebook/units/weight_slips.hpp"

#include "decimal.hpp"

namespace tarebook {
namespace {

// Which unit a bare number was read in: the one that gives the mass that was recorded.
ScaleReads taken_for(const Weight& weight, ScaleReads scale) {
    for (const auto reads : {scale, ScaleReads::lb, ScaleReads::kg}) {
        const auto again = parse_weight(weight.typed, reads);
        if (again && again->mass == weight.mass) return reads;
    }
    return ScaleReads::unknown;
}

void add_swapped(const Weight& weight, ScaleReads reads, std::vector<MeantWeight>& out) {
    std::vector<std::size_t> digits;
    for (std::size_t i = 0; i < weight.typed.size(); ++i)
        if (decimal::is_digit(weight.typed[i])) digits.push_back(i);
    for (std::size_t i = 1; i < digits.size(); ++i) {
        std::string swapped = weight.typed;
        std::swap(swapped[digits[i - 1]], swapped[digits[i]]);
        const auto meant = parse_weight(swapped, reads);
        if (meant && meant->mass != weight.mass) out.push_back({Slip::digits_swapped, meant->mass});
    }
}

// 12.8 lb and 12 lb 8 oz are confused: the digit behind the point is read as ounces.
void add_ounces(const Weight& weight, ScaleReads reads, std::vector<MeantWeight>& out) {
    std::string_view rest = trimmed(weight.typed);
    const auto whole_end = rest.find_first_not_of("0123456789");
    if (whole_end == 0 || whole_end == std::string_view::npos || whole_end > 6) return;
    const std::string whole(rest.substr(0, whole_end));
    rest.remove_prefix(whole_end);
    const bool decimal_pounds = rest.front() == '.';
    if (decimal_pounds) {
        rest.remove_prefix(1);
        std::string ounces(rest.substr(0, rest.find_first_not_of("0123456789")));
        rest.remove_prefix(ounces.size());
        while (ounces.size() > 1 && ounces.back() == '0') ounces.pop_back();
        const auto unit = decimal::lower(trimmed(rest));
        if (unit != "lb" && unit != "lbs" && !(unit.empty() && reads == ScaleReads::lb)) return;
        if (const auto meant = parse_weight(whole + " lb " + ounces + " oz", ScaleReads::unknown))
            out.push_back({Slip::ounces_as_tenths, meant->mass});
        return;
    }
    rest = trimmed(rest);
    const auto unit = decimal::lower(decimal::take_letters(rest));
    rest = trimmed(rest);
    const auto ounces = decimal::take_number(rest);
    if ((unit != "lb" && unit != "lbs") || ounces.digits == 0 || ounces.scale != 1) return;
    if (const auto meant = parse_weight(whole + "." + std::to_string(ounces.scaled) + "lb", ScaleReads::unknown))
        out.push_back({Slip::tenths_as_ounces, meant->mass});
}

}  // namespace

std::string_view text_of(Slip slip) {
    switch (slip) {
        case Slip::digits_swapped:
            return "digits swapped?";
        case Slip::kg_as_lb:
            return "kg typed as lb?";
        case Slip::lb_as_kg:
            return "lb typed as kg?";
        case Slip::ounces_as_tenths:
            return "ounces typed as tenths of a pound?";
        case Slip::tenths_as_ounces:
            return "tenths of a pound typed as ounces?";
    }
    return "";
}

std::vector<MeantWeight> weights_that_may_be_meant(const Weight& typed, ScaleReads scale) {
    std::vector<MeantWeight> out;
    const auto reads = taken_for(typed, scale);
    add_swapped(typed, reads, out);
    const bool in_kg = typed.typed.find("kg") != std::string::npos || reads == ScaleReads::kg;
    const bool in_lb = !in_kg && typed.typed.find('g') == std::string::npos;
    const auto kilogram = Mass::counts_per_gram * 1000;
    if (in_lb) out.push_back({Slip::kg_as_lb, scaled(typed.mass, kilogram, Mass::counts_per_pound)});
    if (in_kg) out.push_back({Slip::lb_as_kg, scaled(typed.mass, Mass::counts_per_pound, kilogram)});
    add_ounces(typed, reads, out);
    return out;
}

}  // namespace tarebook
