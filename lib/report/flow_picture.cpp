// A gas's year as bands, narrow enough for a phone. Gas goes into cylinders from the left and out to the right;
// equipment is below, which gas enters from the right and leaves to the left, so that gas that goes from one into the
// other and back makes a circle.
#include <fmt/format.h>

#include "svg.hpp"
#include "year_flow.hpp"

namespace tarebook::report {
namespace {

constexpr double page = 360, edge = 8, spine = 12, middle = page / 2, widest = 90;
constexpr double words_height = 20, band_gap = 10, head = 8, corner = 6;
enum class Way { left, right };
using Lines = std::vector<std::string>;

// Everything is drawn for the right side; the left one is its mirror.
double at(Way side, double x) {
    return side == Way::right ? x : page - x;
}

struct Drawing {
    std::string& svg;
    double pounds;  ///< of a band that is as wide as may be
    DisplayUnits units;

    [[nodiscard]] double width_of(Mass mass) const {
        return pounds > 0 ? std::max(mass.in_pounds() / pounds * widest, 1.0) : 1.0;
    }
    void point(Way side, double tip, double foot, double y, double width, std::string_view of_class) const {
        const double half = std::max(width / 2, 5.0);
        svg += fmt::format("<polygon class=\"{}\" points=\"{:.1f},{:.1f} {:.1f},{:.1f} {:.1f},{:.1f}\"/>\n", of_class,
                           at(side, foot), y - half, at(side, foot), y + half, at(side, tip), y);
    }
    // The words of a band, then how much: above it.
    double told(Way side, double y, const FlowBand& band, const Lines& more) const {
        const double x = side == Way::left ? edge : middle + spine / 2 + 8;
        svg += svg::words(x, y + 14, band.words);
        svg += svg::words(x, y + 14 + words_height, mass_text(band.mass, units), "strong");
        y += 2 * words_height;
        for (const auto& line : more) {
            svg += svg::words(x, y + 14, line, "small");
            y += words_height;
        }
        return y;
    }
    // A band between the spine and the page's edge; `inward`: it comes in. Returns where the next one begins.
    double straight(Way side, bool inward, double y, const FlowBand& band, const Lines& more = {}) const {
        y = told(side, y, band, more);
        const auto of_class = band.kind == FlowBand::Kind::moved  ? "amount"
                              : band.kind == FlowBand::Kind::kept ? "kept"
                                                                  : "over";
        const double width = width_of(band.mass), from = middle + spine / 2, to = page - edge;
        const double left = inward ? from + head : from, right = inward ? to : to - head;
        y += std::max(0.0, 5 - width / 2);  // the point of a thin band is wider than the band
        svg += svg::bar(side == Way::right ? left : page - right, y, right - left, width, of_class);
        point(side, inward ? from : to, inward ? left : right, y + width / 2, width, of_class);
        return y + std::max(width, width / 2 + 5) + band_gap;
    }
    // From the spine at `upper` round the edge to the spine at `lower`.
    void round(Way side, bool downward, double upper, double lower, Mass mass) const {
        const double width = width_of(mass), outer = width + corner, from = middle + spine / 2, to = page - edge;
        const int out = side == Way::right ? 1 : 0, in = 1 - out;
        const auto x = [&](double right) { return at(side, right); };
        const double top = downward ? from : from + head, bottom = downward ? from + head : from;
        svg += fmt::format(
            "<path class=\"second\" d=\"M{:.1f} {:.1f}H{:.1f}A{:.1f} {:.1f} 0 0 {} {:.1f} {:.1f}V{:.1f}"
            "A{:.1f} {:.1f} 0 0 {} {:.1f} {:.1f}H{:.1f}V{:.1f}H{:.1f}A{:.1f} {:.1f} 0 0 {} {:.1f} {:.1f}V{:.1f}"
            "A{:.1f} {:.1f} 0 0 {} {:.1f} {:.1f}H{:.1f}Z\"/>\n",
            x(top), upper, x(to - outer), outer, outer, out, x(to), upper + outer, lower + width - outer, outer, outer,
            out, x(to - outer), lower + width, x(bottom), lower, x(to - outer), corner, corner, in, x(to - width),
            lower - corner, upper + width + corner, corner, corner, in, x(to - outer), upper + width, x(top));
        const double y = (downward ? lower : upper) + width / 2;
        point(side, from, from + head, y, width, "second");
    }
    void spine_at(double from, double to) const {
        svg += svg::bar(middle - spine / 2, from, spine, to - from, "spine");
    }
};

Lines put_in_lines(const GasFlow& flow, DisplayUnits units) {
    if (flow.reused.is_zero() || flow.charged.is_zero()) return {};
    return {"charged " + mass_text(flow.charged, units), "reused " + mass_text(flow.reused, units)};
}

std::string told_of(const FlowNode& node, const char* joint_in, const char* joint_out, DisplayUnits units) {
    std::vector<std::string> in, out;
    const auto say = [&](std::vector<std::string>& list, std::string_view words, Mass mass) {
        list.push_back(fmt::format("{} {}", words, mass_text(mass, units)));
    };
    for (const auto& band : node.in) say(in, band.words, band.mass);
    if (!node.joint_in.is_zero()) say(in, joint_in, node.joint_in);
    for (const auto& band : node.out) say(out, band.words, band.mass);
    if (!node.joint_out.is_zero()) say(out, joint_out, node.joint_out);
    return fmt::format("in: {}; out or kept: {}.", in.empty() ? "nothing" : fmt::format("{}", fmt::join(in, ", ")),
                       out.empty() ? "nothing" : fmt::format("{}", fmt::join(out, ", ")));
}

constexpr auto into_equipment = "into equipment", recovered = "recovered", put_in = "put in";

}  // namespace

Picture flow_picture(const GasFlow& flow, DisplayUnits units) {
    const auto& cylinders = flow.cylinders;
    const auto& equipment = flow.equipment;
    Picture out{flow.refrigerant, {}, {}, 0, static_cast<int>(page), "flow"};
    const Drawing draw{out.svg, std::max(cylinders.through(), equipment.through()).in_pounds(), units};
    const auto joint = [](const char* words, Mass mass) { return FlowBand{FlowBand::Kind::moved, words, mass}; };
    const bool into = !equipment.joint_in.is_zero() && flow.is_joined_into();
    const bool back = !equipment.joint_out.is_zero() && flow.is_joined_back();
    const auto more = put_in_lines(flow, units);
    double y = 22, into_from = 0, back_to = 0;
    out.svg += svg::words(edge, 16, flow.refrigerant, "strong");

    if (!cylinders.through().is_zero()) {
        out.told += "cylinders, " + told_of(cylinders, recovered, into_equipment, units);
        out.svg += svg::words(middle, y + 16, "cylinders", "mid");
        const double top = y + 24;
        double left = top, right = top;
        for (const auto& band : cylinders.in) left = draw.straight(Way::left, true, left, band);
        for (const auto& band : cylinders.out) right = draw.straight(Way::right, false, right, band);
        if (!back && !cylinders.joint_in.is_zero())
            left = draw.straight(Way::left, true, left, joint(recovered, cylinders.joint_in));
        if (!into && !cylinders.joint_out.is_zero())
            right = draw.straight(Way::right, false, right, joint(into_equipment, cylinders.joint_out), more);
        // What goes round comes last, at the foot of the higher side, so that nothing stands in its way.
        const double into_width = draw.width_of(cylinders.joint_out), back_width = draw.width_of(cylinders.joint_in);
        const double into_words = words_height * static_cast<double>(2 + more.size()), back_words = words_height * 2;
        y = std::max(back ? left + back_words + back_width : left, into ? right + into_words + into_width : right);
        if (into) {
            into_from =
                draw.told(Way::right, y - into_width - into_words, joint(into_equipment, cylinders.joint_out), more);
        }
        if (back) back_to = draw.told(Way::left, y - back_width - back_words, joint(recovered, cylinders.joint_in), {});
        draw.spine_at(top, y + 4);
        y += 2 * corner + 4;
    }
    if (!equipment.through().is_zero()) {
        out.told += (out.told.empty() ? "equipment, " : " Equipment, ") + told_of(equipment, put_in, recovered, units);
        y += 20;
        out.svg += svg::words(middle, y, "equipment", "mid");
        const double top = y + 8;
        double left = top, right = top;
        if (into) {
            draw.round(Way::right, true, into_from, top, equipment.joint_in);
            right += draw.width_of(equipment.joint_in) + band_gap;
        } else if (!equipment.joint_in.is_zero()) {
            right = draw.straight(Way::right, true, right, joint(put_in, equipment.joint_in), more);
        }
        if (back) {
            draw.round(Way::left, false, back_to, top, equipment.joint_out);
            left += draw.width_of(equipment.joint_out) + band_gap;
        } else if (!equipment.joint_out.is_zero()) {
            left = draw.straight(Way::left, false, left, joint(recovered, equipment.joint_out));
        }
        for (const auto& band : equipment.in) right = draw.straight(Way::right, true, right, band);
        for (const auto& band : equipment.out) left = draw.straight(Way::left, false, left, band);
        y = std::max(left, right);
        draw.spine_at(top - 4, y);
    }
    out.height = static_cast<int>(y) + 6;
    return out;
}

}  // namespace tarebook::report
