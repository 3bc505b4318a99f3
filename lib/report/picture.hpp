// Pictures of a page: small charts as inline SVG. The page's style colours their classes; they have no style of their
// own, because the page's content policy allows none. Each has a text with the same facts.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tarebook/event/moment.hpp"
#include "tarebook/units/mass.hpp"
#include "tarebook/units/ratio.hpp"

namespace tarebook::report {

struct Picture {
    std::string title;
    std::string told;  ///< the same facts in words
    std::string svg;   ///< the content of the element svg
    int height = 0;
    int width = 640;
    std::string of_class = {};  ///< a class of the figure, for the page's style
};

/// A mark on a gauge.
struct GaugeMark {
    Mass at;
    std::string words;
};
/// How full a cylinder is: its net weight beside its limits.
Picture fill_gauge(std::string title, std::string told, Mass net, Mass limit, const std::vector<GaugeMark>& marks);

struct WeightAt {
    Instant at;
    Mass gross;
};
/// Gross weights over time as steps: each weight is valid until the next one. Empty for fewer than two.
std::optional<Picture> weight_history(std::string title, std::string told, const std::vector<WeightAt>& weights,
                                      DisplayUnits units);

struct RateAt {
    Date on{};
    Ratio rate;
    bool over = false;
    std::optional<Percent> threshold;
};
/// Leak rates over time, with the threshold of each day that has one.
std::optional<Picture> rate_history(std::string title, std::string told, const std::vector<RateAt>& rates);

struct InOut {
    std::string name;
    Mass out, in;
};
/// One row each: gas out to the left, gas in to the right.
std::optional<Picture> in_and_out(std::string title, std::string told, const std::vector<InOut>& rows,
                                  DisplayUnits units);

}  // namespace tarebook::report
