// The sizes of labels.
#pragma once

#include <array>
#include <string_view>

#include "tarebook/units/error.hpp"

namespace tarebook {

/// A label: how large, and what is on it.
struct LabelSize {
    std::string_view name;
    int width = 0, height = 0;  ///< tenths of a millimetre
    bool on_a_roll = true;      ///< one label a page; else several on a sheet
    bool is_short = false;      ///< ID, gas, STOP AT and the code to scan alone
};

/// By name: inches, or the width of a roll; A4: a sheet of labels to cut.
inline constexpr std::array<LabelSize, 4> label_sizes{
    {{"A4", 950, 665, false}, {"4x3", 1016, 762}, {"4x2", 1016, 508}, {"62mm", 620, 1000}}};

/// The size of that name. Error (usage): label-size.
Result<LabelSize> label_size(std::string_view name);

}  // namespace tarebook
