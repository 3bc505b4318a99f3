// The words that scales put beside a number, and what they say.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/scale/scale_line.hpp"

namespace tarebook::scale {

enum class Says { stable, moving, gross, net, over };

struct Mark {
    Says says;
    std::string_view words;  // in small letters
};
inline constexpr std::array marks = {
    Mark{Says::stable, "st|s|stable"},
    Mark{Says::moving, "us|u|m|mo|mot|motion|moving|unstable"},
    Mark{Says::gross, "gs|g|gr|gross"},
    Mark{Says::net, "nt|n|net"},
    Mark{Says::over, "ol|over|overload|ul|under|underload"},
};

/// lb, kg, g or oz; empty for any other word.
std::string known_unit(std::string_view word);
/// Without leading zeros, and with a digit before the point. Precondition: digits with at most one point.
std::string shown_number(std::string_view digits);
/// A line of the usual shape.
std::optional<ScaleLine> usual_line(std::string_view line);

}  // namespace tarebook::scale
