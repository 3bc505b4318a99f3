#include "label_drawing.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "qr_code.hpp"
#include "svg.hpp"
#include "table.hpp"
#include "text_box.hpp"

namespace tarebook {

Result<LabelSize> label_size(std::string_view name) {
    std::string names;
    for (const auto& size : label_sizes) {
        if (size.name == name) return size;
        names += (names.empty() ? "" : "|") + std::string(size.name);
    }
    return usage("label-size", "there is no label of that size", std::string(name), names);
}

namespace report {
namespace {

constexpr double label_margin = 34, label_gap = 12;
constexpr int smallest_font = 18;  // 1.8 mm: read at arm's length, and drawn well at 203 dots an inch

// LabelRows from the top to the bottom, each with its share of the height that is left between the margins.
class LabelRows {
 public:
    LabelRows(const LabelSize& size) : width_(size.width - 2 * label_margin), height_(size.height - 2 * label_margin) {}
    TextBox take(double share, FontWeight weight, int largest, int lines = 99) {
        const TextBox out{label_margin, y_, width_, share * height_, weight, largest, smallest_font, lines};
        y_ += share * height_;
        return out;
    }
    [[nodiscard]] double height_of(double share) const { return share * height_; }
    [[nodiscard]] double top() const { return y_; }

 private:
    double width_, height_, y_ = label_margin;
};

std::string code_to_scan(const Label& l, double x, double y, double side) {
    const auto code = qr_code(l.cylinder);
    const double module = side / (code.modules + 8);  // four modules of quiet zone on each side
    return fmt::format("<path class=\"qr\" transform=\"translate({:.2f} {:.2f}) scale({:.4f})\" d=\"{}\"/>\n",
                       x + 4 * module, y + 4 * module, module, code.path);
}

std::string frame(double x, double y, double width, double height) {
    return fmt::format(
        "<rect class=\"edge\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" rx=\"10\"/>\n", x, y, width,
        height);
}

TextBox inside(TextBox box) {
    box.x += label_gap;
    box.y += label_gap / 2;
    box.width -= 2 * label_gap;
    box.height -= label_gap;
    return box;
}

// The weight to stop at, or why nothing may go in, in a frame.
std::string stop_row(const Label& l, TextBox box, DisplayUnits units) {
    auto out = frame(box.x, box.y, box.width, box.height);
    box = inside(box);
    if (!l.bar.empty()) return out + drawn_text(box, {"DO NOT FILL: " + l.bar});
    if (!l.stop) return out + drawn_text(box, {"STOP AT: not known; read the collar, ask the book"});
    auto slow = box;
    if (l.slow) {
        slow.width = box.width * 0.3;
        slow.x = box.x + box.width - slow.width;
        slow.weight = FontWeight::regular;
        slow.largest = std::min(box.largest, 44);
        box.width -= slow.width + label_gap;
        out += drawn_text(slow, {"slow down at", mass_text_down(*l.slow, units)});
    }
    return out + drawn_text(box, {"STOP AT " + mass_text_down(*l.stop, units)});
}

std::string shipping_text(const Label& l) {
    if (l.un.empty()) return l.gas == "EMPTY" ? "" : "shipping name: not known";
    return fmt::format("{}  {}, {}{}", l.un, l.shipping_name, l.division, l.shipping_from_memory ? " (confirm)" : "");
}

std::string gas_text(const Label& l) {
    return (l.practice ? "PRACTICE " : "") + l.gas;
}

std::vector<std::string> caution_texts(const Label& l) {
    auto out = l.cautions;
    if (!out.empty() && !l.safety.empty()) out.front() = l.safety + "  " + out.front();
    return out;
}

// The ID, the gas and the code to scan beside them.
std::string head_rows(const Label& l, LabelRows& rows, const LabelSize& size, double share, bool with_condition) {
    const double side = std::min(rows.height_of(share), 0.36 * (size.width - 2 * label_margin));
    auto out = code_to_scan(l, size.width - label_margin - side, rows.top(), side);
    const auto beside = [&](double part, FontWeight weight, int largest) {
        auto box = rows.take(part * share, weight, largest);
        box.width -= side + label_gap;
        return box;
    };
    out += drawn_text(beside(with_condition ? 0.3 : 0.45, FontWeight::bold, 80), {l.cylinder});
    out += drawn_text(beside(with_condition ? 0.42 : 0.55, FontWeight::bold, 118), {gas_text(l)});
    if (with_condition) out += drawn_text(beside(0.28, FontWeight::regular, 44), {l.condition});
    return out;
}

std::string foot_row(const Label& l, LabelRows& rows, double share) {
    return drawn_text(rows.take(share, FontWeight::regular, 24),
                      {"as of " + l.as_of + "; local codes and licensed persons decide"});
}

std::string short_label(const Label& l, const LabelSize& size, DisplayUnits units) {
    LabelRows rows(size);
    auto out = head_rows(l, rows, size, 0.5, false);
    out += stop_row(l, rows.take(0.24, FontWeight::bold, 80), units);
    out += drawn_text(rows.take(0.16, FontWeight::bold, 44), {caution_texts(l).front()});
    return out + foot_row(l, rows, 0.1);
}

std::string whole_label(const Label& l, const LabelSize& size, DisplayUnits units) {
    LabelRows rows(size);
    auto out = head_rows(l, rows, size, 0.36, true);
    out += drawn_text(rows.take(0.07, FontWeight::regular, 36), {l.owner.empty()         ? ""
                                                                 : l.owner == shop_owner ? "the shop's gas"
                                                                                         : "gas of " + l.owner});
    out += stop_row(l, rows.take(0.15, FontWeight::bold, 80), units);
    const auto m = [&](const std::optional<Mass>& mass) {
        return mass ? mass_text(*mass, units) : std::string("see collar");
    };
    const auto row = rows.take(0.09, FontWeight::regular, 40, 1);
    auto third = row;
    third.width = (row.width - 2 * label_gap) / 3;
    for (const auto& words : {"TW " + m(l.tare), "WC " + m(l.water_capacity), "test " + test_text(l)}) {
        out += drawn_text(third, {words});
        third.x += third.width + label_gap;
    }
    out += drawn_text(rows.take(0.07, FontWeight::regular, 33), {shipping_text(l)});
    out += drawn_text(rows.take(0.21, FontWeight::regular, 33), caution_texts(l), Upright::top);
    return out + foot_row(l, rows, 0.05);
}

}  // namespace

const std::string& label_style() {
    static const auto style = [] {
        std::string out =
            ".label text{fill:#000;font-family:system-ui,sans-serif}.label .bold{font-weight:700}\n"
            ".label .edge{fill:none;stroke:#000;stroke-width:3}.label .qr{fill:#000}\n";
        for (const auto size : text_sizes) out += fmt::format(".label .f{0}{{font-size:{0}px}}", size);
        return out + "\n";
    }();
    return style;
}

Picture label_picture(const Label& l, const LabelSize& size, DisplayUnits units) {
    Picture out;
    out.title = "Label of " + l.cylinder;
    for (const auto& [name, value] : label_facts(l, units)) add_word(out.told, name + " " + value, "; ");
    out.width = size.width;
    out.height = size.height;
    out.of_class = fmt::format("label size-{}", size.name);
    constexpr double edge = 4;
    out.svg = frame(edge, edge, size.width - 2 * edge, size.height - 2 * edge);
    out.svg += size.is_short ? short_label(l, size, units) : whole_label(l, size, units);
    return out;
}

}  // namespace report
}  // namespace tarebook
