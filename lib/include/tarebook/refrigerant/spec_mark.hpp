// What the collar of a cylinder says it was built for, and whether that suits a gas.
//
//     parse_spec_mark("DOT-4BA400")                       // type 4BA, 400 psig service pressure, refillable
//     pressure_rating(std::array{find_refrigerant("R-410A")}, "4BA260").rating    // too_low
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "tarebook/refrigerant/refrigerant.hpp"

namespace tarebook {

struct SpecMark {
    std::string type;                 ///< "4BA"; "4BET" for 4B240ET; "39"
    std::optional<int> service_psig;  ///< nothing where the mark does not carry it (3, 39, ton containers)
    bool refillable = true;
};

/// Takes the US marks as they are stamped or typed: `DOT-4BA400`, `4BW260`, `DOT 39 NRC`, `3AA1800`, `4B240ET`. Nothing
/// for marks of other rules (UN, ISO, EN) and for anything else.
std::optional<SpecMark> parse_spec_mark(std::string_view mark);

enum class Rating { suits, too_low, unknown };

struct RatingVerdict {
    Rating rating = Rating::unknown;
    std::string why;
    /// The service pressure that the highest-pressure candidate needs, its uncertainty added; nothing where no
    /// candidate has a figure. A listed mark can suit although it is below this.
    std::optional<GaugePressure> needed;
};

/// Judges by the highest-pressure candidate: pressure at 55 C (131 F) at most 5/4 of the service pressure, 49 CFR
/// 173.301a(d). Where 49 CFR 173.304a names the gas, its list of marks decides instead; a type that the list leaves out
/// is unknown at best. An unknown mark or gas is unknown, never suits. Outside the acts of the United States the list
/// and the clauses say nothing; that a pressure stays within 5/4 of what a mark stands for is the maker's own figure,
/// and kept.
RatingVerdict pressure_rating(std::span<const Refrigerant* const> could_be, std::string_view spec_mark,
                              bool us_transport = true);

}  // namespace tarebook
