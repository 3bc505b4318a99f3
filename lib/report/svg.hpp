// The elements of pictures: SVG with classes, numbers to a tenth.
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <string_view>

#include "document.hpp"

namespace tarebook::report::svg {

inline std::string line(double x1, double y1, double x2, double y2, std::string_view of_class) {
    return fmt::format("<line class=\"{}\" x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\"/>\n", of_class, x1,
                       y1, x2, y2);
}
inline std::string bar(double x, double y, double width, double height, std::string_view of_class) {
    return fmt::format("<rect class=\"{}\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\"/>\n", of_class,
                       x, y, std::max(width, 0.0), height);
}
inline std::string words(double x, double y, std::string_view text, std::string_view of_class = {}) {
    return fmt::format("<text{} x=\"{:.1f}\" y=\"{:.1f}\">{}</text>\n",
                       of_class.empty() ? "" : fmt::format(" class=\"{}\"", of_class), x, y, escaped(text));
}

}  // namespace tarebook::report::svg
