#include "tarebook/refrigerant/tube.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <numbers>
#include <optional>
#include <vector>

#include "refrigerant/tube_table.hpp"

namespace tarebook {
namespace {

std::optional<int> whole(std::string_view text) {
    int n = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), n);
    if (text.empty() || error != std::errc() || end != text.data() + text.size() || n < 0 || n > 100)
        return std::nullopt;
    return n;
}

// "1 3/8", "1-3/8", "5/8", "2" in inches.
std::optional<double> inches(std::string_view text) {
    double sum = 0;
    if (const auto gap = text.find_first_of(" -"); gap != std::string_view::npos) {
        const auto first = whole(text.substr(0, gap));
        if (!first) return std::nullopt;
        sum = *first;
        text.remove_prefix(gap + 1);
        if (text.find('/') == std::string_view::npos) return std::nullopt;
    }
    const auto stroke = text.find('/');
    const auto above = whole(text.substr(0, stroke));
    if (!above) return std::nullopt;
    if (stroke == std::string_view::npos) return sum + *above;
    const auto below = whole(text.substr(stroke + 1));
    if (!below || *below == 0) return std::nullopt;
    return sum + static_cast<double>(*above) / *below;
}

std::string_view without_inch(std::string_view text) {
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    for (const std::string_view unit : {"in", "\""})
        if (text.ends_with(unit)) text.remove_suffix(unit.size());
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    return text;
}

}  // namespace

std::string_view text_of(TubeWall wall) {
    return wall == TubeWall::hard ? "hard" : "soft";
}

Volume TubeSize::holds(Length length) const {
    const double radius = inside.in_metres() / 2;
    return Volume::cubic_metres(std::numbers::pi * radius * radius * length.in_metres());
}

Result<const TubeSize*> parse_tube_size(std::string_view typed, TubeWall wall) {
    constexpr const char* expected = "an outside diameter in inches, such as 5/8, 7/8 or 1-3/8";
    const auto size = inches(without_inch(typed));
    if (!size) return usage("tube-size", "cannot read a tube size", std::string(typed), expected);
    std::vector<const TubeSize*> near;
    for (const auto& tube : tube_table) {
        if (tube.kind != wall) continue;
        if (std::abs(tube.outside.in_inches() - *size) < 1e-9) return &tube;
        if (near.empty() || near.back()->outside != tube.outside) near.push_back(&tube);
    }
    std::stable_sort(near.begin(), near.end(), [&](const TubeSize* a, const TubeSize* b) {
        return std::abs(a->outside.in_inches() - *size) < std::abs(b->outside.in_inches() - *size);
    });
    return usage(
        "tube-size",
        fmt::format("ASTM B280 has no {} tube of {} in outside diameter here", text_of(wall), without_inch(typed)),
        std::string(typed), expected, fmt::format("did you mean {} or {}?", near[0]->name, near[1]->name));
}

}  // namespace tarebook
