// What the collar of a cylinder says it was built for, and whether that suits a gas.
//
//     parse_spec_mark("DOT-4BA400")                       // type 4BA, 400 psig service pressure, refillable
//     pressure_rating(std::array{Catalogue().find("R-410A")}, "4BA260").rating    // too_low
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "tarebook/refrigerant/refrigerant.hpp"

namespace tarebook {

/// A specification mark as stamped: type and service pressure.
struct SpecMark {
    std::string type;                 ///< "4BA"; "4BET" for 4B240ET; "39"
    std::optional<int> service_psig;  ///< nothing where the mark does not carry it (3, 39, ton containers)
    bool refillable = true;           ///< false for a 39
};

/// Takes the US marks as they are stamped or typed: `DOT-4BA400`, `4BW260`, `DOT 39 NRC`, `3AA1800`, `4B240ET`. Nothing
/// for marks of other rules (UN, ISO, EN) and for any other text.
std::optional<SpecMark> parse_spec_mark(std::string_view mark);

/// Whether a mark suits a gas; `unknown` where that cannot be said.
enum class Rating { suits, too_low, unknown };

/// A rating, and why.
struct RatingVerdict {
    Rating rating = Rating::unknown;
    std::string why;  ///< one clause for people
    /// The service pressure that the highest-pressure candidate needs, with its uncertainty added; nothing where no
    /// candidate has a figure. A mark that the transport table lists can suit although it is below this.
    std::optional<GaugePressure> needed;
};

/// Judges by the highest-pressure candidate: its pressure at 55 C (131 F) is at most 5/4 of the service pressure, 49
/// CFR 173.301a(d). Where 49 CFR 173.304a names the gas, its list of marks decides instead; a type that the list leaves
/// out is unknown at best. An unknown mark or gas is unknown, never suits. Without `us_transport` list and clauses are
/// left out, and only the comparison of pressures is made. `units`: of the words, psig and F or bar and C.
RatingVerdict pressure_rating(std::span<const Refrigerant* const> could_be, std::string_view spec_mark,
                              bool us_transport = true, DisplayUnits units = DisplayUnits::lb);

}  // namespace tarebook
