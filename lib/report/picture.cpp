#include "picture.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "svg.hpp"

namespace tarebook::report {
namespace {

constexpr double left = 8, right = 352;  // of 360

using svg::bar, svg::line, svg::words;

// From a first to a last value onto a length of the picture.
struct Scale {
    double from, to, low, high;
    [[nodiscard]] double at(double value) const {
        return to > from ? low + (value - from) / (to - from) * (high - low) : low;
    }
};

double days(Instant at) {
    return static_cast<double>(at.time_since_epoch().count()) / 86'400.0;
}
double number(Date day) {
    return static_cast<double>(day.time_since_epoch().count());
}

// Words beside marks, from the top down, each so far below the last one that they do not meet.
void keep_apart(std::vector<double>& heights, double distance, double lowest) {
    for (std::size_t i = 1; i < heights.size(); ++i) heights[i] = std::max(heights[i], heights[i - 1] + distance);
    double limit = lowest;
    for (auto y = heights.rbegin(); y != heights.rend(); ++y, limit -= distance) *y = std::min(*y, limit);
}

// A path of steps, of which each column of dots keeps the first, the last and the two that reach farthest.
std::string steps_through(const std::vector<std::pair<double, double>>& points) {
    std::string out;
    const auto add = [&](double x, double y) { out += fmt::format(" {:.1f},{:.1f}", x, y); };
    double y_before = points.front().second;
    for (std::size_t i = 0; i < points.size();) {
        const auto column = static_cast<int>(points[i].first);
        double low = points[i].second, high = low;
        add(points[i].first, y_before);
        add(points[i].first, points[i].second);
        std::size_t j = i + 1;
        for (; j < points.size() && static_cast<int>(points[j].first) == column; ++j) {
            low = std::min(low, points[j].second);
            high = std::max(high, points[j].second);
        }
        y_before = points[j - 1].second;
        if (j - i > 1)
            for (const double y : {low, high, y_before}) add(points[j - 1].first, y);
        i = j;
    }
    return out.substr(1);
}

}  // namespace

Picture cylinder_picture(std::string title, std::string told, const std::vector<LiquidLevel>& levels, bool over,
                         std::string whole) {
    constexpr double wall_left = 20, wall_right = 120, top = 40, bottom = 240, beside = 136, line_apart = 20;
    const auto height = [&](double share) { return bottom - std::clamp(share, 0.0, 1.0) * (bottom - top); };
    Picture out{std::move(title), std::move(told), {}, 256};
    for (const auto& level : levels)
        if (level.kind == LiquidLevel::Kind::now)
            out.svg += bar(wall_left, height(level.share), wall_right - wall_left, bottom - height(level.share),
                           over ? "over" : "amount");
    // the shell, with its valve
    out.svg += fmt::format("<rect class=\"frame\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\"/>\n",
                           wall_left, top, wall_right - wall_left, bottom - top);
    out.svg += bar(62, 22, 16, 18, "spine");
    auto sorted = levels;
    std::stable_sort(sorted.begin(), sorted.end(),
                     [](const LiquidLevel& a, const LiquidLevel& b) { return a.share > b.share; });
    std::vector<double> at;
    for (const auto& level : sorted) at.push_back(height(level.share));
    constexpr double words_down = 5;
    auto words_at = at;
    words_at.insert(words_at.begin(), top - line_apart);  // the whole inside
    keep_apart(words_at, line_apart, bottom + words_down);
    out.svg += words(beside, words_at[0], whole, "small");
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        const bool stop = sorted[i].kind == LiquidLevel::Kind::stop;
        if (sorted[i].kind != LiquidLevel::Kind::now)
            out.svg +=
                line(wall_left - (stop ? 8 : 0), at[i], wall_right + (stop ? 8 : 0), at[i], stop ? "stop" : "limit");
        out.svg += line(wall_right + (stop ? 8 : 2), at[i], beside - 3, words_at[i + 1], "rule");
        out.svg += words(beside, words_at[i + 1] + words_down, sorted[i].words, stop ? "strong" : "small");
    }
    return out;
}

std::optional<Picture> weight_history(std::string title, std::string told, const std::vector<WeightAt>& weights,
                                      const std::vector<WeightLine>& lines, DisplayUnits units) {
    if (weights.size() < 2) return std::nullopt;
    auto [lightest, heaviest] = std::minmax_element(
        weights.begin(), weights.end(), [](const WeightAt& a, const WeightAt& b) { return a.gross < b.gross; });
    Mass low = lightest->gross, high = heaviest->gross;
    for (const auto& l : lines) {
        low = std::min(low, l.gross);
        high = std::max(high, l.gross);
    }
    constexpr double floor = 170, ceiling = 44;
    const Scale across{days(weights.front().at.at), days(weights.back().at.at), left, right};
    const Scale up{low.in_pounds(), high.in_pounds(), floor, ceiling};
    std::vector<std::pair<double, double>> points;
    points.reserve(weights.size());
    for (const auto& w : weights) points.emplace_back(across.at(days(w.at.at)), up.at(w.gross.in_pounds()));
    Picture out{std::move(title), std::move(told), {}, 212};
    double above = 0;
    for (const auto& l : lines) {
        const double y = up.at(l.gross.in_pounds());
        out.svg += line(left, y, right, y, "limit");
        // two lines close together: the second one's words go under it
        out.svg += words(right, above > 0 && above - y < 18 && y - above < 18 ? y + 16 : y - 5, l.words, "end small");
        above = y;
    }
    out.svg += line(left, floor, right, floor, "rule");
    out.svg += fmt::format("<polyline class=\"path\" points=\"{}\"/>\n", steps_through(points));
    out.svg += words(
        left, 18,
        fmt::format("heaviest {}, lightest {}", mass_text(heaviest->gross, units), mass_text(lightest->gross, units)),
        "small");
    const auto first = moment_text(weights.front().at), last = moment_text(weights.back().at);
    const bool one_day = weights.front().at.date() == weights.back().at.date();
    out.svg += words(left, floor + 30, one_day ? first : first.substr(0, 10), "small");
    out.svg += words(right, floor + 30, one_day ? last.substr(11) : last.substr(0, 10), "end small");
    return out;
}

std::optional<Picture> rate_history(std::string title, std::string told, const std::vector<RateAt>& rates) {
    if (rates.empty()) return std::nullopt;
    double most = 0;
    for (const auto& r : rates) {
        most = std::max(most, r.rate.in_percent());
        if (r.threshold) most = std::max(most, Ratio::of(*r.threshold).in_percent());
    }
    constexpr double floor = 160, ceiling = 40, inset = 10;
    const Scale across{number(rates.front().on), number(rates.back().on), left + inset, right - inset};
    const Scale up{0, most, floor, ceiling};
    Picture out{std::move(title), std::move(told), {}, 200};
    out.svg += line(left, floor, right, floor, "rule");
    for (std::size_t i = 0; i < rates.size(); ++i) {
        if (!rates[i].threshold) continue;
        const double percent = Ratio::of(*rates[i].threshold).in_percent(), y = up.at(percent);
        const double from = i == 0 ? left : across.at(number(rates[i].on));
        const bool last = i + 1 == rates.size();
        out.svg += line(from, y, last ? right : across.at(number(rates[i + 1].on)), y, "limit");
        const bool changes = last || rates[i + 1].threshold != rates[i].threshold;
        if (changes)
            out.svg += words(last ? right : left, y - 6, fmt::format("threshold {:.4g} %", percent),
                             last ? "end small" : "small");
    }
    for (const auto& r : rates) {
        const double x = across.at(number(r.on)), y = up.at(r.rate.in_percent());
        out.svg += line(x, floor, x, y, "rule");
        // over the threshold is a square, so that the shape tells it too
        out.svg += r.over ? bar(x - 6, y - 6, 12, 12, "over")
                          : fmt::format("<circle class=\"dot\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"5\"/>\n", x, y);
    }
    out.svg += words(left, 18,
                     fmt::format("highest {:.1f} %, last {:.1f} %",
                                 std::max_element(rates.begin(), rates.end(),
                                                  [](const RateAt& a, const RateAt& b) { return a.rate < b.rate; })
                                     ->rate.in_percent(),
                                 rates.back().rate.in_percent()),
                     "small");
    // New Year's days between the first and the last addition, as many as there is room for.
    using std::chrono::year_month_day;
    const auto first = year_month_day(rates.front().on).year(), last = year_month_day(rates.back().on).year();
    const int years = static_cast<int>(last) - static_cast<int>(first), each = years / 5 + 1;
    for (int y = static_cast<int>(first) + 1; y <= static_cast<int>(last); y += each) {
        const double x = across.at(number(Date(std::chrono::year(y) / 1 / 1)));
        out.svg += line(x, floor, x, floor + 6, "rule");
        if (x > 90 && x < right - 90) out.svg += words(x, floor + 22, std::to_string(y), "mid small");
    }
    out.svg += words(left, floor + 22, date_text(rates.front().on), "small");
    if (rates.size() > 1) out.svg += words(right, floor + 22, date_text(rates.back().on), "end small");
    return out;
}

std::optional<Picture> in_and_out(std::string title, std::string told, const std::vector<InOut>& rows,
                                  DisplayUnits units, const std::optional<Mass>& most) {
    double whole = most ? most->in_pounds() : 0;
    for (const auto& row : rows) whole = std::max({whole, row.out.in_pounds(), row.in.in_pounds()});
    const bool nothing =
        std::all_of(rows.begin(), rows.end(), [](const InOut& row) { return row.out.is_zero() && row.in.is_zero(); });
    if (nothing || whole <= 0) return std::nullopt;
    constexpr double middle = 180, longest = 92;
    Picture out{std::move(title), std::move(told), {}, 0};
    out.svg += words(middle - 8, 16, "out", "end small") + words(middle + 8, 16, "in", "small");
    double y = 26;
    for (const auto& row : rows) {
        const double to_left = row.out.in_pounds() / whole * longest, to_right = row.in.in_pounds() / whole * longest;
        out.svg += words(left, y + 14, row.name);
        y += 20;
        out.svg += bar(middle - to_left, y, to_left, 18, "second") + bar(middle, y, to_right, 18, "amount");
        if (!row.out.is_zero()) out.svg += words(middle - to_left - 6, y + 14, mass_text(row.out, units), "end small");
        if (!row.in.is_zero()) out.svg += words(middle + to_right + 6, y + 14, mass_text(row.in, units), "small");
        y += 28;
    }
    out.svg += line(middle, 22, middle, y, "rule");
    out.height = static_cast<int>(y) + 4;
    return out;
}

}  // namespace tarebook::report
