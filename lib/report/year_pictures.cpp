#include "year_pictures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "fill.hpp"
#include "shared_text.hpp"
#include "svg.hpp"
#include "year_view.hpp"

namespace tarebook::report {
namespace {

constexpr double left_edge = 8, right_edge = 352;  // of 360

using std::chrono::year_month, std::chrono::year_month_day;

double across(Date day, std::chrono::year year) {
    const Date first = year / 1 / 1, last = year / 12 / 31;
    const double share = static_cast<double>((day - first).count()) / static_cast<double>((last - first).count());
    return left_edge + std::clamp(share, 0.0, 1.0) * (right_edge - left_edge);
}

struct Extent {
    Mass low, high;  // low: zero, or below it where the book is
};
Extent extent_of(const StockThroughYear& gas) {
    Extent out{std::min(gas.at_start, Mass()), std::max(gas.at_start, Mass())};
    for (const auto& [day, mass] : gas.after) out = {std::min(out.low, mass), std::max(out.high, mass)};
    return out;
}

}  // namespace

void StockWatch::see(Date day, const std::vector<YearMovement>& movements) {
    until_ = std::clamp(day, until_, std::max(until_, last_));
    if (day > last_) return;
    for (const auto& m : movements) {
        if (!m.stock || !scope_.shows_stock_of(told_owner(m.refrigerant, m.owner))) continue;
        auto it = gases_.find(m.refrigerant);
        if (it == gases_.end()) it = gases_.emplace(m.refrigerant, Gas{}).first;
        auto& gas = it->second;
        if (day >= first_ && !gas.in_year) gas.year.at_start = gas.now.value(), gas.in_year = true;
        gas.now += *m.stock;
        if (gas.in_year) gas.year.after[std::max(day, first_)] = gas.now.value();
    }
}

std::map<std::string, StockThroughYear> StockWatch::gases() const {
    std::map<std::string, StockThroughYear> out;
    for (const auto& [name, gas] : gases_) {
        auto year = gas.year;
        if (!gas.in_year) year.at_start = gas.now.value();
        if (!year.after.empty() || !year.at_start.is_zero()) out.emplace(name, std::move(year));
    }
    return out;
}

std::optional<Picture> stock_picture(const std::map<std::string, StockThroughYear>& gases, std::chrono::year year,
                                     Date until, DisplayUnits units) {
    if (gases.empty()) return std::nullopt;
    Extent whole;
    for (const auto& [name, gas] : gases) {
        const auto one = extent_of(gas);
        whole = {std::min(whole.low, one.low), std::max(whole.high, one.high)};
    }
    const double pounds = std::max((whole.high - whole.low).in_pounds(), 0.001);
    constexpr double words_height = 22, strip = 44, between = 12;
    Picture out{fmt::format("Stock by gas in {}", static_cast<int>(year)), {}, {}, 0};
    std::vector<std::string> told;
    double y = 0;
    for (const auto& [name, gas] : gases) {
        const auto extent = extent_of(gas);
        const Mass last = gas.after.empty() ? gas.at_start : gas.after.rbegin()->second;
        const auto figures = fmt::format("{} at the start, {} at most, {} at last", mass_text(gas.at_start, units),
                                         mass_text(extent.high, units), mass_text(last, units));
        told.push_back(name + " " + figures);
        out.svg += svg::words(left_edge, y + 15, fmt::format("{}, {} at last", name, mass_text(last, units)), "strong");
        out.svg += svg::words(right_edge, y + 15, "most " + mass_text(extent.high, units), "end small");
        y += words_height;
        const auto height = [&](Mass mass) { return y + strip - (mass - whole.low).in_pounds() / pounds * strip; };
        const double zero = height(Mass());
        std::string path = fmt::format("{:.1f},{:.1f}", left_edge, height(gas.at_start));
        double before = height(gas.at_start), x = left_edge;
        for (const auto& [day, mass] : gas.after) {
            x = across(day, year);
            const double now = height(mass);
            path += fmt::format(" {:.1f},{:.1f} {:.1f},{:.1f}", x, before, x, now);
            before = now;
        }
        x = std::max(x, across(until, year));
        path += fmt::format(" {:.1f},{:.1f}", x, before);
        out.svg += fmt::format("<polygon class=\"kept\" points=\"{:.1f},{:.1f} {} {:.1f},{:.1f}\"/>\n", left_edge, zero,
                               path, x, zero);
        out.svg += fmt::format("<polyline class=\"path\" points=\"{}\"/>\n", path);
        out.svg += svg::line(left_edge, zero, right_edge, zero, "rule");
        y += strip + between;
    }
    y -= between;
    for (const unsigned month : {1U, 4U, 7U, 10U}) {
        constexpr std::array names{"Jan", "Apr", "Jul", "Oct"};
        const double x = across(year / std::chrono::month(month) / 1, year);
        out.svg += svg::line(x, y, x, y + 6, "rule") + svg::words(x, y + 21, names.at(month / 3), "small");
    }
    out.svg += svg::words(right_edge, y + 21, "Dec", "end small");
    out.told = fmt::format("{}", fmt::join(told, "; "));
    out.height = static_cast<int>(y) + 28;
    return out;
}

std::optional<Picture> additions_by_month(const std::string& refrigerant, const std::vector<Addition>& additions,
                                          DisplayUnits units) {
    constexpr int most_bars = 24;
    std::map<year_month, Mass> months;
    for (const auto& addition : additions) {
        if (addition.refrigerant != refrigerant) continue;
        const year_month_day day(addition.date);
        months[day.year() / day.month()] += addition.mass;
    }
    if (months.empty()) return std::nullopt;
    const auto first = months.begin()->first, last = months.rbegin()->first;
    const bool by_year = (last - first).count() >= most_bars;
    std::vector<std::pair<std::string, Mass>> bars;
    for (auto at = first; at <= last; at += by_year ? std::chrono::months(12) : std::chrono::months(1)) {
        if (by_year) at = at.year() / 1;
        Mass sum;
        for (const auto& [month, mass] : months)
            if (by_year ? month.year() == at.year() : month == at) sum += mass;
        bars.emplace_back(by_year ? std::to_string(static_cast<int>(at.year())) : month_text(at), sum);
    }
    double widest = 0;
    for (const auto& bar : bars) widest = std::max(widest, bar.second.in_pounds());
    constexpr double words_width = 70, figures_width = 92, row = 24;
    Picture out{fmt::format("Additions of {} by {}", refrigerant, by_year ? "year" : "month"), {}, {}, 0};
    double y = 4;
    std::vector<std::string> told;
    for (const auto& [name, mass] : bars) {
        const double width = mass.in_pounds() / widest * (right_edge - left_edge - words_width - figures_width);
        out.svg += svg::words(left_edge, y + 15, name, "small");
        out.svg += svg::bar(left_edge + words_width, y + 2, width, row - 6, "amount");
        out.svg += svg::words(left_edge + words_width + width + 6, y + 15,
                              mass.is_zero() ? "-" : mass_text(mass, units), "small");
        if (!mass.is_zero()) told.push_back(fmt::format("{} {}", name, mass_text(mass, units)));
        y += row;
    }
    out.svg += svg::line(left_edge + words_width, 4, left_edge + words_width, y, "rule");
    out.told = fmt::format("{}", fmt::join(told, ", "));
    out.height = static_cast<int>(y) + 6;
    return out;
}

}  // namespace tarebook::report
