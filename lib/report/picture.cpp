#include "picture.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "svg.hpp"

namespace tarebook::report {
namespace {

constexpr double left = 8, right = 632;  // of 640

using svg::bar, svg::line, svg::words;

// Words at a mark near an edge stay inside the picture.
std::string words_at(double x, double y, std::string_view text) {
    return words(x, y, text, x < 120 ? "" : x > 520 ? "end" : "mid");
}

// From a first to a last value onto the picture's width.
struct Scale {
    double from, to, low, high;
    [[nodiscard]] double at(double value) const {
        return to > from ? low + (value - from) / (to - from) * (high - low) : low;
    }
};

double days(Instant at) {
    return static_cast<double>(at.time_since_epoch().count()) / 86'400.0;
}
std::string day_text(Instant at) {
    return date_text(std::chrono::floor<std::chrono::days>(at));
}

}  // namespace

Picture fill_gauge(std::string title, std::string told, Mass net, Mass limit, const std::vector<GaugeMark>& marks) {
    double most = std::max(net.in_pounds(), limit.in_pounds());
    for (const auto& mark : marks) most = std::max(most, mark.at.in_pounds());
    const Scale scale{0, most * 1.02, left, right};
    Picture out{std::move(title), std::move(told), {}, 0};
    out.svg += bar(left, 30, scale.at(net.in_pounds()) - left, 36, net > limit ? "over" : "amount");
    out.svg += bar(left, 30, right - left, 36, "frame");
    double y = 18;
    bool above = true;
    for (const auto& mark : marks) {
        const double x = scale.at(mark.at.in_pounds());
        out.svg += line(x, 24, x, 72, "limit");
        out.svg += words_at(x, above ? y : 90, mark.words);
        above = !above;
    }
    out.height = 100;
    return out;
}

std::optional<Picture> weight_history(std::string title, std::string told, const std::vector<WeightAt>& weights,
                                      DisplayUnits units) {
    if (weights.size() < 2) return std::nullopt;
    const auto [lightest, heaviest] = std::minmax_element(
        weights.begin(), weights.end(), [](const WeightAt& a, const WeightAt& b) { return a.gross < b.gross; });
    const Scale across{days(weights.front().at), days(weights.back().at), left, right};
    const Scale up{lightest->gross.in_pounds(), heaviest->gross.in_pounds(), 150, 30};
    std::string path;
    double y = 0;
    for (const auto& w : weights) {
        const double x = across.at(days(w.at));
        if (!path.empty()) path += fmt::format(" {:.1f},{:.1f}", x, y);
        y = up.at(w.gross.in_pounds());
        path += fmt::format(" {:.1f},{:.1f}", x, y);
    }
    Picture out{std::move(title), std::move(told), {}, 190};
    out.svg += line(left, 150, right, 150, "rule") + line(left, 30, right, 30, "rule");
    out.svg += fmt::format("<polyline class=\"path\" points=\"{}\"/>\n", path.substr(1));
    out.svg += words(left, 22, mass_text(heaviest->gross, units));
    out.svg += words(left, 168, mass_text(lightest->gross, units));
    out.svg += words(left, 186, day_text(weights.front().at));
    out.svg += words(right, 186, day_text(weights.back().at), "end");
    return out;
}

std::optional<Picture> rate_history(std::string title, std::string told, const std::vector<RateAt>& rates) {
    if (rates.empty()) return std::nullopt;
    double most = 0;
    for (const auto& r : rates) {
        most = std::max(most, r.rate.in_percent());
        if (r.threshold) most = std::max(most, Ratio::of(*r.threshold).in_percent());
    }
    const auto number = [](Date day) { return static_cast<double>(day.time_since_epoch().count()); };
    const Scale across{number(rates.front().on), number(rates.back().on), left + 10, right - 10};
    const Scale up{0, most * 1.05, 160, 24};
    Picture out{std::move(title), std::move(told), {}, 200};
    out.svg += line(left, 160, right, 160, "rule");
    for (std::size_t i = 0; i < rates.size(); ++i) {
        if (!rates[i].threshold) continue;
        const double y = up.at(Ratio::of(*rates[i].threshold).in_percent());
        const double from = i == 0 ? left : across.at(number(rates[i].on));
        out.svg += line(from, y, i + 1 < rates.size() ? across.at(number(rates[i + 1].on)) : right, y, "limit");
    }
    for (const auto& r : rates) {
        const double x = across.at(number(r.on)), y = up.at(r.rate.in_percent());
        out.svg += line(x, 160, x, y, "rule");
        // over the threshold is a square, so that the shape tells it too
        out.svg += r.over ? bar(x - 6, y - 6, 12, 12, "over")
                          : fmt::format("<circle class=\"dot\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"5\"/>\n", x, y);
    }
    out.svg += words(left, 16, fmt::format("{:.1f} %", most));
    out.svg += words(left, 180, date_text(rates.front().on));
    if (rates.size() > 1) out.svg += words(right, 180, date_text(rates.back().on), "end");
    return out;
}

std::optional<Picture> in_and_out(std::string title, std::string told, const std::vector<InOut>& rows,
                                  DisplayUnits units) {
    double most = 0;
    for (const auto& row : rows) most = std::max({most, row.out.in_pounds(), row.in.in_pounds()});
    if (most <= 0) return std::nullopt;
    constexpr double middle = 320, longest = 200;
    Picture out{std::move(title), std::move(told), {}, 0};
    out.svg += words(middle - 8, 16, "out", "end") + words(middle + 8, 16, "in");
    double y = 26;
    for (const auto& row : rows) {
        const double to_left = row.out.in_pounds() / most * longest, to_right = row.in.in_pounds() / most * longest;
        out.svg += words(left, y + 14, row.name);
        y += 20;
        out.svg += bar(middle - to_left, y, to_left, 18, "second") + bar(middle, y, to_right, 18, "amount");
        out.svg += words(middle - to_left - 6, y + 14, mass_text(row.out, units), "end");
        out.svg += words(middle + to_right + 6, y + 14, mass_text(row.in, units));
        y += 28;
    }
    out.svg += line(middle, 22, middle, y, "rule");
    out.height = static_cast<int>(y) + 4;
    return out;
}

}  // namespace tarebook::report
