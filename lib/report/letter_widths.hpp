// How wide a text is drawn, so that sizes and line breaks are chosen here and not by the program that draws it. The
// widths are those of DejaVu Sans, which is as wide as the usual fonts without serifs get: what fits in it fits in
// Arial, Helvetica, Liberation Sans and Roboto, too.
#pragma once

#include <cstdint>
#include <string_view>

namespace tarebook::report {

enum class FontWeight { regular, bold };

/// In thousandths of the font's size. Letters beyond ASCII count as wide as the widest of Latin-1.
std::int64_t drawn_width(std::string_view text, FontWeight weight);

/// Of the font's size: the room of a line, and how far its base line is from its top.
inline constexpr double line_height = 1.17, ascent = 0.93;

}  // namespace tarebook::report
