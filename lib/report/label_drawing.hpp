// A label as a drawing. Sizes and line breaks are chosen here, from the widths of letters: nothing is drawn closer or
// cut off by the program that prints it.
#pragma once

#include <string>
#include <string_view>

#include "label.hpp"
#include "picture.hpp"
#include "tarebook/report/label_size.hpp"

namespace tarebook::report {

/// The style of labels, for every page and for a drawing on its own.
const std::string& label_style();
Picture label_picture(const Label& label, const LabelSize& size, DisplayUnits units);

}  // namespace tarebook::report
