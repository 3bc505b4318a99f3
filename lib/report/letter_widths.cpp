#include "letter_widths.hpp"

#include <array>

#include "tarebook/units/utf8.hpp"

namespace tarebook::report {
namespace {

constexpr std::uint32_t first_letter = 0x20, last_letter = 0x7e;
using Widths = std::array<std::int16_t, last_letter - first_letter + 1>;

// Advance widths of DejaVu Sans 2.37 (hmtx; 2048 units an em), blank to tilde, in thousandths of an em.
constexpr Widths widths_regular{318,  401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337,
                                636,  636, 636, 636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531,
                                1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863, 748, 787,
                                603,  787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500,
                                500,  613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612,
                                635,  635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838};
constexpr Widths widths_bold{348,  456, 521, 838, 696, 1002, 872, 306,  457, 457, 523, 838, 380, 415,  380, 365,
                             696,  696, 696, 696, 696, 696,  696, 696,  696, 696, 400, 400, 838, 838,  838, 580,
                             1000, 774, 762, 734, 830, 683,  683, 821,  837, 372, 372, 775, 637, 995,  837, 850,
                             733,  850, 770, 720, 682, 812,  774, 1103, 771, 724, 725, 457, 365, 457,  838, 500,
                             500,  675, 716, 593, 716, 678,  435, 716,  712, 343, 343, 665, 343, 1042, 712, 687,
                             716,  716, 493, 595, 478, 712,  652, 924,  645, 652, 582, 712, 365, 712,  838};
constexpr std::int64_t widest_regular = 1000, widest_bold = 1084;  // of Latin-1, the same file

}  // namespace

std::int64_t drawn_width(std::string_view text, FontWeight weight) {
    const auto& widths = weight == FontWeight::bold ? widths_bold : widths_regular;
    std::int64_t out = 0;
    while (!text.empty()) {
        const auto letter = letter_at(text);
        out += letter.code >= first_letter && letter.code <= last_letter ? widths[letter.code - first_letter]
               : weight == FontWeight::bold                              ? widest_bold
                                                                         : widest_regular;
        text.remove_prefix(letter.size);
    }
    return out;
}

}  // namespace tarebook::report
